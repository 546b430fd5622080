"""Turn a measurement into a change, with the measurement as its note and the clips as its proof."""

from __future__ import annotations

from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core.languages.words import number
from core.models import User
from notes.captures.measure import Measured
from notes.captures.store import save_pair
from notes.comparing.evidence import tie_to_change
from notes.journal.reasons import change_because
from notes.journal.services import NoteContent, write_note
from notes.models import ChangeClip, Note
from rigs.changes.edits import Set
from rigs.checks.paths import LONGEST_MS, is_unclear
from rigs.models import Input, Revision

POLARITY, DELAY = "polarity", "delay"
# 17 mm of air; where less would be gained no change is proposed.
LEAST_MS = 0.05


def proposals(measured: Measured) -> dict[str, str]:
    """What may be done about it, by key, in words. Nothing where the measurement is not sure, or
    is not of the placement as it is now."""
    if not measured.is_certain or measured.place.moved_in is not None:
        return {}
    words = {}
    if measured.inverted:
        turned = measured.second.input
        said = (
            _("Set the polarity of {input} to normal")
            if turned.reversed_polarity
            else _("Set the polarity of {input} to reversed")
        )
        words[POLARITY] = said.format(input=turned.name)
    wait = _wait(measured)
    if wait is not None:
        words[DELAY] = _("Set the delay of {name} to {ms} ms at the desk").format(
            name=wait.entry.name, ms=number(wait.ms, 2)
        )
    return words


class _Wait(NamedTuple):
    """The channel to delay, and what its delay becomes, in ms."""

    entry: Input
    ms: float

    @property
    def shown(self) -> str:
        return f"{self.ms:.2f}"


def _wait(measured: Measured) -> _Wait | None:
    """The delay that brings the two together at the desk, given those that are set; None where
    nothing is left to do, or where notes speak of a delay that no field has."""
    first, second = measured.place.first, measured.place.second
    # Of two recorders' clocks: it is no delay of the sound, and changes as they run.
    if measured.relation.drift_ppm:
        return None
    # A delay that only notes speak of would be added a second time.
    if is_unclear(first) or is_unclear(second):
        return None
    set_ms = [(entry.delay or 0.0) * 1000 for entry in (first, second)]
    later = measured.delay_s * 1000
    # Behind the desk its delays are in the recording already.
    if not measured.through_desk:
        later += set_ms[1] - set_ms[0]
    if abs(later) < LEAST_MS:
        return None
    early, late = (0, 1) if later > 0 else (1, 0)
    # What waits too long already waits less, before the other has to wait as well.
    if set_ms[late] >= abs(later):
        return _Wait(measured.clips[late].input, set_ms[late] - abs(later))
    ms = set_ms[early] + abs(later)
    return _Wait(measured.clips[early].input, ms) if ms <= LONGEST_MS else None


@transaction.atomic
def apply(measured: Measured, what: str, *, by: User, base: int) -> Revision:
    """Make one change of the rig because of a note that holds the measurement; both clips are tied
    to it as before. Raises ValidationError for what is not proposed, Conflict."""
    # Asked again: rig, clips or method may have changed since the page was made.
    if what not in proposals(measured):
        raise ValidationError(_("That does not follow from these clips."))
    entry, edit = _edit(measured, what)
    rig = measured.first.rig
    heard = NoteContent(
        verdict=Note.Verdict.ADJUST,
        reading=measured.words,
        inputs=[measured.first.input, measured.second.input],
    )
    # Before the change, which names this note as its reason.
    note = write_note(rig=rig, heard=heard, by=by)
    made = change_because(rig, [edit], notes=[note], words=measured.words, author=by, base=base)
    if made is None:
        raise ValidationError(_("{name} is like that already.").format(name=entry.name))
    for clip in (measured.first, measured.second):
        tie_to_change(revision=made, clip=clip, side=ChangeClip.When.BEFORE, by=by)
    save_pair(measured, by=by)
    return made


def _edit(measured: Measured, what: str) -> tuple[Input, Set]:
    if what == POLARITY:
        entry = measured.second.input
        return entry, Set(
            str(entry.pk), "input", {"reversed_polarity": not entry.reversed_polarity}
        )
    wait = _wait(measured)
    assert wait is not None  # noqa: S101 - it is proposed, which was asked before
    return wait.entry, Set(str(wait.entry.pk), "input", {"delay_ms": wait.shown})
