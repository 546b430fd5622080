"""What the program itself wrote of the rigs in a handover, in the language of the reader.

A handover is sealed in English. The revisions that it names cannot change, so what they say is
asked again, in English and in the language of the reader. Where the first is what is sealed, the
second is shown. What people typed is the same in both, and what neither says any more stays as it
was sealed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils.translation import get_language

from core.languages.choice import as_stored
from notes.handover.content import findings_data
from notes.handover.drawings import states_and_rigs
from notes.handover.sheet import figures_of, sheet_of
from rigs.changes.edits import Snapshot
from rigs.checks.load import benches
from rigs.checks.run import findings
from rigs.models import Rig
from rigs.wording import snapshot_views

Plain = dict[str, Any]
# By where a text stands, its keys from the rig on, and what it is in English.
Told = dict[tuple[tuple[str, ...], str], str]
# Cautions are cut and told sentence by sentence (notes.handover.cut, notes.handover.in_words).
_ELSEWHERE = frozenset({"cautions"})


def in_language(content: Plain) -> Plain:
    """`content` with what is ours in the sheets and findings of its rigs told to the reader.

    No queries in English; in other languages a fixed number.
    """
    if get_language() in (None, settings.LANGUAGE_CODE):
        return content
    rigs, states = states_and_rigs(content)
    with as_stored():
        stored = _said_of(rigs, states)
    told = _said_of(rigs, states)
    sections = [
        {**each, "rigs": [_rig(rig, stored, told) for rig in each["rigs"]]}
        for each in content["sections"]
    ]
    return {**content, "sections": sections}


def _said_of(rigs: list[Rig], states: Mapping[UUID, Snapshot]) -> dict[str, Plain]:
    """What the program says of each rig in its state, by its id."""
    figures = figures_of(rigs[0].production_id) if rigs else {}
    views = snapshot_views({rig: states[rig.pk] for rig in rigs})
    laid = benches(rigs, states)
    return {
        str(rig.pk): {
            **sheet_of(views[rig], figures, {}),
            "findings": findings_data(findings(laid[rig.pk])),
        }
        for rig in rigs
    }


def _rig(rig: Plain, stored: Mapping[str, Plain], told: Mapping[str, Plain]) -> Plain:
    known = dict(_pairs(stored.get(rig["id"]), told.get(rig["id"]), ()))
    return {
        name: part if name in _ELSEWHERE else _retold(part, known, (name,))
        for name, part in rig.items()
    }


def _pairs(stored: Any, told: Any, at: tuple[str, ...]) -> Iterator[tuple[Any, str]]:
    """Each text that differs. Of two that are one in English, the first counts."""
    if isinstance(stored, dict) and isinstance(told, dict):
        for name in stored.keys() & told.keys():
            yield from _pairs(stored[name], told[name], (*at, name))
    elif isinstance(stored, list) and isinstance(told, list) and len(stored) == len(told):
        for one, other in zip(reversed(stored), reversed(told), strict=True):
            yield from _pairs(one, other, at)
    elif isinstance(stored, str) and isinstance(told, str) and stored != told:
        yield (at, stored), told


def _retold(part: Any, known: Told, at: tuple[str, ...]) -> Any:
    if isinstance(part, dict):
        return {name: _retold(each, known, (*at, name)) for name, each in part.items()}
    if isinstance(part, list):
        return [_retold(each, known, at) for each in part]
    return known.get((at, part), part) if isinstance(part, str) else part
