"""Turn a measurement into a change, with the measurement as its note and the clips as its proof."""

from __future__ import annotations

import re

from django.core.exceptions import ValidationError
from django.db import transaction

from core.models import User
from notes.captures.measure import Measured
from notes.captures.store import keep
from notes.comparing.evidence import tie_to_change
from notes.journal.reasons import change_because
from notes.journal.services import Heard, write_note
from notes.models import ChangeClip, Note
from rigs.changes.edits import Set
from rigs.checks.paths import stated_delay
from rigs.models import Input, Revision

POLARITY, DELAY = "polarity", "delay"
LEAST_MS = 0.05
_STATED = re.compile(r"delay \d+(\.\d+)? ms")


def proposals(measured: Measured) -> dict[str, str]:
    """What may be done about it, by key, in words. Nothing where the measurement is not sure, or
    is not of the placement as it is now."""
    if not measured.is_sure or measured.place.moved_in is not None:
        return {}
    found = {}
    if measured.inverted:
        turned = measured.second.input
        way = "normal" if turned.reversed_polarity else "reversed"
        found[POLARITY] = f"Set the polarity of {turned.name} to {way}"
    if measured.apart_ms >= LEAST_MS and not _delayed_already(measured):
        found[DELAY] = (
            f"Delay {measured.earlier.input.name} by {measured.apart_ms:.2f} ms at the desk"
        )
    return found


def _delayed_already(measured: Measured) -> bool:
    """A delay that the notes state is in clips from behind the desk; otherwise it is compared."""
    stated = stated_delay(measured.place.first, measured.place.second)
    if stated is None:
        return False
    return measured.through_desk or abs(stated * 1000 - measured.apart_ms) < LEAST_MS


@transaction.atomic
def apply(measured: Measured, what: str, *, by: User, base: int) -> Revision:
    """One change of the rig, made because of a note that holds the measurement; both clips are
    tied to it as before. Raises ValidationError for what is not proposed, Conflict."""
    if what not in proposals(measured):
        raise ValidationError("That does not follow from these clips.")
    entry, edit = _edit(measured, what)
    rig = measured.first.rig
    heard = Heard(
        verdict=Note.Verdict.ADJUST,
        reading=measured.words,
        inputs=[measured.first.input, measured.second.input],
    )
    note = write_note(rig=rig, heard=heard, by=by)
    made = change_because(rig, [edit], notes=[note], words=measured.words, author=by, base=base)
    if made is None:
        raise ValidationError(f"{entry.name} is like that already.")
    for clip in (measured.first, measured.second):
        tie_to_change(revision=made, clip=clip, side=ChangeClip.Side.BEFORE, by=by)
    keep(measured, by=by)
    return made


def _edit(measured: Measured, what: str) -> tuple[Input, Set]:
    if what == POLARITY:
        entry = measured.second.input
        return entry, Set(
            str(entry.pk), "input", {"reversed_polarity": not entry.reversed_polarity}
        )
    entry = measured.earlier.input
    said = f"delay {measured.apart_ms:.2f} ms"
    old = entry.notes.strip()
    notes = _STATED.sub(said, old) if _STATED.search(old) else f"{old}\n{said}".strip()
    return entry, Set(str(entry.pk), "input", {"notes": notes})
