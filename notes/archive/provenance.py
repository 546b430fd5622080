"""Who made which state of a rig from which, and because of what, as W3C PROV-JSON.

Entities are states of rigs, notes and sign-offs; activities are changes and signings; agents are
people. After “The PROV-JSON Serialization” (W3C Member Submission, 24 April 2013). Written one
entry a line and one section after the other, so that no history is too long for the memory.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from hashlib import blake2b
from itertools import chain
from typing import Any

from core.models import Production
from core.personal.opening import names_of
from core.tables import to_json
from notes.models import Note, SignOff
from rigs.models import Revision, Rig

PREFIX = "urn:toneledger:"
_DIGEST_BYTES = 32
Entry = tuple[str, dict[str, Any]]


def provenance(production: Production) -> Iterator[bytes]:
    """The whole document in pieces; the same production gives the same bytes."""
    yield b'{"prefix":' + _json({"tl": PREFIX})
    for section, entries in _Provenance(production).sections():
        before = b",\n" + _json(section) + b":{\n"
        for name, value in entries:
            yield before + _json(name) + b":" + _json(value)
            before = b",\n"
        if before == b",\n":
            yield b"\n}"
    yield b"}\n"


def summary(lines: Iterable[bytes], key: bytes) -> tuple[int, int]:
    """What a document tells: how many entries, and the sum of their keyed digests (a multiset
    hash; Clarke et al., “Incremental Multiset Hash Functions”, ASIACRYPT 2003).

    The order of entries, the numbers of relations and the labels of entities are left out: they
    follow from how a release sorts rigs and words its records, and archives outlive releases.
    `key` is a secret of the caller, the same for the documents it compares. Raises ValueError for
    lines that are not one entry each.
    """
    count = total = 0
    section = ""
    for line in lines:
        body = line.removesuffix(b",")
        if body.endswith(b":{"):
            section = str(json.loads(body[:-2]))
        elif body not in (b"}", b"}}"):
            text = _json(list(_without_labels(section, body)))
            count += 1
            total += int.from_bytes(blake2b(text, key=key, digest_size=_DIGEST_BYTES).digest())
    return count, total % (1 << 8 * _DIGEST_BYTES)


def _without_labels(section: str, body: bytes) -> Iterator[Any]:
    yield section
    # The first line opens the document; each of the others is within one that is open.
    for name, value in json.loads(b"{" + body.removeprefix(b"{") + b"}").items():
        yield "" if name.startswith("_:") else name
        is_labelled = section == "entity" and isinstance(value, dict)
        yield {k: v for k, v in value.items() if k != "prov:label"} if is_labelled else value


def _json(value: Any) -> bytes:
    # Canonical (RFC 8785) as long as keys are ASCII and no value is a number, as is the case here.
    text = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return text.encode()


class _Provenance:
    """One pass over the history for each section."""

    def __init__(self, production: Production) -> None:
        notes = Note.objects.filter(production=production).order_by("pk")
        self._notes = notes.select_related("written_by")
        self._revisions = Revision.objects.filter(rig__production=production).order_by(
            "rig_id",
            "number",  # by key: names are sorted otherwise by each database
        )
        signed = SignOff.objects.filter(rig__production=production).order_by("pk")
        self._signed = signed.select_related("revision")
        self._rigs = {rig.pk: str(rig) for rig in Rig.objects.filter(production=production)}

    def sections(self) -> Iterator[tuple[str, Iterable[Entry]]]:
        yield "agent", sorted(self._agents().items())
        yield "entity", chain(self._states(), self._note_entities(), self._sign_offs())
        yield "activity", chain(self._changes(), self._signings())
        for kind, relations in (
            ("wasAttributedTo", self._attributed()),
            ("wasGeneratedBy", self._generated()),
            ("wasAssociatedWith", self._associated()),
            ("used", self._used()),
            ("wasDerivedFrom", self._derived()),
        ):
            yield kind, _numbered(kind, relations)

    def _agents(self) -> dict[str, dict[str, Any]]:
        authors = self._revisions.order_by().values_list("author_id", "author_name").distinct()
        names = names_of(name for _, name in authors)
        named = {(_agent(author, names[name]), names[name]) for author, name in authors}
        named.update((_agent(n.written_by_id, ""), n.written_by.name) for n in self._notes)
        named.update((_signer(row), row.name) for row in self._signed)
        person = {"$": "prov:Person", "type": "prov:QUALIFIED_NAME"}
        return {agent: {"prov:type": person, "prov:label": name} for agent, name in sorted(named)}

    def _states(self) -> Iterator[Entry]:
        for rig, number, digest in self._each("digest"):
            label = f"{self._rigs[rig]}, change {number}"
            yield _state(rig, number), {"prov:label": label, "tl:sha256": digest}

    def _note_entities(self) -> Iterator[Entry]:
        for note in self._notes:
            yield f"tl:note/{note.pk}", {"prov:label": str(note)}

    def _sign_offs(self) -> Iterator[Entry]:
        for row in self._signed:
            yield f"tl:sign-off/{row.pk}", {"prov:label": str(row), "tl:sha256": row.seal}

    def _changes(self) -> Iterator[Entry]:
        for rig, number, at, reason in self._each("at", "reason_kind"):
            yield _change(rig, number), _times(at) | {"tl:reason": reason}

    def _signings(self) -> Iterator[Entry]:
        for row in self._signed:
            yield f"tl:signing/{row.pk}", _times(row.at)

    def _attributed(self) -> Iterator[dict[str, str]]:
        for note in self._notes:
            yield {"entity": f"tl:note/{note.pk}", "agent": _agent(note.written_by_id, "")}

    def _generated(self) -> Iterator[dict[str, str]]:
        for rig, number in self._each():
            yield {"entity": _state(rig, number), "activity": _change(rig, number)}
        for row in self._signed:
            yield {"entity": f"tl:sign-off/{row.pk}", "activity": f"tl:signing/{row.pk}"}

    def _associated(self) -> Iterator[dict[str, str]]:
        for rig, number, author, name in self._each("author_id", "author_name"):
            said = name if author else names_of([name])[name]
            yield {"activity": _change(rig, number), "agent": _agent(author, said)}
        for row in self._signed:
            yield {"activity": f"tl:signing/{row.pk}", "agent": _signer(row)}

    def _used(self) -> Iterator[dict[str, str]]:
        for rig, number, notes in self._each("reason_notes"):
            if number > 1:
                yield {"activity": _change(rig, number), "entity": _state(rig, number - 1)}
            for note in json.loads(notes):
                yield {"activity": _change(rig, number), "entity": f"tl:note/{note}"}
        for row in self._signed:
            state = _state(row.rig_id, row.revision.number)
            yield {"activity": f"tl:signing/{row.pk}", "entity": state}

    def _derived(self) -> Iterator[dict[str, str]]:
        for rig, number in self._each():
            if number > 1:
                yield {
                    "generatedEntity": _state(rig, number),
                    "usedEntity": _state(rig, number - 1),
                }

    def _each(self, *columns: str) -> Iterator[tuple[Any, ...]]:
        return self._revisions.values_list("rig_id", "number", *columns).iterator(chunk_size=2000)


def _numbered(kind: str, relations: Iterable[dict[str, str]]) -> Iterator[Entry]:
    for number, ends in enumerate(relations, 1):
        yield f"_:{kind}{number}", {f"prov:{end}": name for end, name in ends.items()}


def _state(rig: Any, number: int) -> str:
    return f"tl:rig/{rig}/{number}"


def _change(rig: Any, number: int) -> str:
    return f"tl:change/{rig}/{number}"


def _agent(key: Any, name: str) -> str:
    # In hexadecimal: a name may hold what a qualified name of PROV may not.
    return f"tl:person/{key}" if key else f"tl:name/{name.encode().hex()}"


def _signer(row: SignOff) -> str:
    return _agent(row.user_id or row.player_id, row.name)


def _times(at: Any) -> dict[str, str]:
    return {"prov:startTime": to_json(at), "prov:endTime": to_json(at)}
