"""Who made which state of a rig from which, and because of what, as W3C PROV-JSON.

Entities are states of rigs, notes and sign-offs; activities are changes and signings; agents are
people. After “The PROV-JSON Serialization” (W3C Member Submission, 24 April 2013).
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from core.models import Production
from notes.archive.values import to_json
from notes.models import Note, SignOff
from rigs.models import Revision

PREFIX = "urn:toneledger:"


def provenance(production: Production) -> dict[str, Any]:
    """The whole document; three queries."""
    found: dict[str, dict[str, Any]] = defaultdict(dict)
    for note in Note.objects.filter(production=production).select_related("written_by"):
        _note(found, note)
    revisions = Revision.objects.filter(rig__production=production).order_by("rig", "number")
    for revision in revisions.select_related("rig").iterator():
        _revision(found, revision)
    signed = SignOff.objects.filter(rig__production=production).select_related("revision")
    for row in signed.order_by("pk"):
        _sign_off(found, row)
    return {"prefix": {"tl": PREFIX}, **found}


def _state(rig: Any, number: int) -> str:
    return f"tl:rig/{rig}/{number}"


def _relate(found: dict[str, dict[str, Any]], kind: str, **ends: str) -> None:
    relations = found[kind]
    relations[f"_:{kind}{len(relations) + 1}"] = {f"prov:{k}": v for k, v in ends.items()}


def _agent(found: dict[str, dict[str, Any]], key: Any, name: str) -> str:
    agent = f"tl:person/{key}" if key else f"tl:name/{name.encode().hex()}"
    found["agent"][agent] = {"prov:type": {"$": "prov:Person", "type": "prov:QUALIFIED_NAME"},
                             "prov:label": name}  # fmt: skip
    return agent


def _note(found: dict[str, dict[str, Any]], note: Note) -> None:
    entity = f"tl:note/{note.pk}"
    found["entity"][entity] = {"prov:label": str(note)}
    agent = _agent(found, note.written_by_id, note.written_by.name)
    _relate(found, "wasAttributedTo", entity=entity, agent=agent)


def _revision(found: dict[str, dict[str, Any]], revision: Revision) -> None:
    state, before = (_state(revision.rig_id, revision.number - back) for back in (0, 1))
    act = f"tl:change/{revision.rig_id}/{revision.number}"
    at = to_json(revision.at)
    found["entity"][state] = {"prov:label": f"{revision.rig}, change {revision.number}",
                              "tl:sha256": revision.digest}  # fmt: skip
    found["activity"][act] = {"prov:startTime": at, "prov:endTime": at,
                              "tl:reason": revision.reason_kind}  # fmt: skip
    _relate(found, "wasGeneratedBy", entity=state, activity=act)
    agent = _agent(found, revision.author_id, revision.author_name)
    _relate(found, "wasAssociatedWith", activity=act, agent=agent)
    if revision.number > 1:
        _relate(found, "used", activity=act, entity=before)
        _relate(found, "wasDerivedFrom", generatedEntity=state, usedEntity=before)
    for note in revision.note_ids:
        _relate(found, "used", activity=act, entity=f"tl:note/{note}")


def _sign_off(found: dict[str, dict[str, Any]], row: SignOff) -> None:
    entity, act = f"tl:sign-off/{row.pk}", f"tl:signing/{row.pk}"
    at = to_json(row.at)
    found["entity"][entity] = {"prov:label": str(row), "tl:sha256": row.seal}
    found["activity"][act] = {"prov:startTime": at, "prov:endTime": at}
    _relate(found, "wasGeneratedBy", entity=entity, activity=act)
    _relate(found, "used", activity=act, entity=_state(row.rig_id, row.revision.number))
    agent = _agent(found, row.user_id or row.player_id, row.name)
    _relate(found, "wasAssociatedWith", activity=act, agent=agent)
