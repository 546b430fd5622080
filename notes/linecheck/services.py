"""Mark the inputs of a show one by one, finish the check, open it again."""

from __future__ import annotations

from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import each_of
from core.models import Show, User
from core.moments import written
from notes.models import LineCheck, LineCheckMark, SignOff
from notes.signing.states import sign_off_status_of
from rigs.lists.input_list import DayInput
from rigs.models import Device, Input, Rig
from rigs.shows.services import check_live, differ, doubtful_with, row_of, rows_of
from rigs.swaps import FIELDS

State = LineCheckMark.State
FINISHED = gettext_lazy("This line check is finished. Reopen it before marking anything.")
REASON_MISSING = gettext_lazy("Say what happened.")
WORDS_MISSING = gettext_lazy("Say in a few words what is different.")
NOT_OK = gettext_lazy("An input that is ok has nothing to explain.")


class Deviation(NamedTuple):
    """What changed and why. `device` is what stands in; None where the list's own is in place.

    `as_it_is` leaves phantom power, pad and gain as they were set for the old device, which
    somebody has to say; else what no longer fits is set to safe values.
    """

    why: str
    words: str
    device: Device | None = None
    hired: bool = False
    as_it_is: bool = False


class MarkedMeanwhile(ValidationError):
    """Somebody else marked the input since the page was opened."""

    def __init__(self, mark: LineCheckMark) -> None:
        self.mark = mark
        said = (
            _(
                "Someone else marked “{input}” as {state} (“{words}”) meanwhile. Look at it, then "
                "mark it again if it is different."
            )
            if mark.words
            else _(
                "Someone else marked “{input}” as {state} meanwhile. Look at it, then mark it "
                "again if it is different."
            )
        )
        super().__init__(
            said.format(input=mark.input, state=mark.get_state_display(), words=mark.words)
        )


@transaction.atomic
def mark(
    show: Show,
    entry: Input,
    *,
    state: str,
    by: User,
    seen: int | None = None,
    difference: Deviation | None = None,
) -> LineCheckMark:
    """Put on record what was found at `entry`; the first mark opens the line check.

    Without `difference` what was noted before stays, and what and why may follow. With it a
    substitute or an absence is noted for this show alone; the rig is never touched. `seen` is the
    version of the mark that the page showed, 0 for none. Raises MarkedMeanwhile, ValidationError.
    """
    # All that follows is read under this lock, so that nobody marks in between.
    held = lock(show)
    check_live(held, entry)
    state = State(state)
    stored = LineCheckMark.objects.filter(line_check__show=held, input=entry).first()
    check = open_check(held, by)
    if check.is_finished:
        raise ValidationError(FINISHED)
    row = stored or LineCheckMark(line_check=check, input=entry, version=0)
    if _was_marked_meanwhile(row, seen, by):
        if difference is None and row.state == state:
            return row  # Both found the same; what the other said of it stays.
        raise MarkedMeanwhile(row)
    if difference is not None:
        _check_deviation(state, difference)
    _note_for_the_day(held, row, state, difference, by)
    # Read again: what was just noted may have changed the row of the day.
    _write_down(row, row_of(held, entry), state, difference)
    row.by, row.version = by, row.version + 1
    row.stamp("at")
    row.full_clean()
    row.save()
    return row


def lock(show: Show) -> Show:
    """The show, locked until the transaction ends, so that two who mark at once take turns."""
    # Of the show alone: the leg that is joined to it need not be held.
    return Show.objects.select_for_update(of=("self",)).select_related("leg").get(pk=show.pk)


def open_check(show: Show, by: User) -> LineCheck:
    """The line check of a show that is locked; a new one if nobody began it."""
    check, _ = LineCheck.objects.get_or_create(
        show=show, defaults={"opened_by": by, "opened_at": written().at}
    )
    return check


@transaction.atomic
def close(check: LineCheck, *, by: User, who_was_told: str, to_repair: str) -> LineCheck:
    """Finish the check. Its words may be put right afterwards; who finished it stays.

    Inputs without a mark are named in the report. Raises ValidationError while a deviation or an
    absence is without what and why.
    """
    lock(check.show)
    listed = {row.entry.pk for row in rows_of(check.show)}
    # What has left the list since can be explained no more, and need not be.
    unexplained = [m.input for m in _marks(check) if m.is_unexplained and m.input_id in listed]
    if unexplained:
        names = each_of(str(entry) for entry in unexplained)
        raise ValidationError(_("Say what changed and why first: {names}.").format(names=names))
    # Read under the lock: the copy that the form began with may be older.
    now = LineCheck.objects.get(pk=check.pk)
    check.who_was_told, check.to_repair = who_was_told.strip(), to_repair.strip()
    check.closed_by = now.closed_by or by
    moment = written()
    check.closed_at = now.closed_at or moment.at
    check.closed_arrived_at = now.closed_arrived_at if now.closed_at else moment.arrived_at
    check.version = now.version + 1
    check.full_clean()
    check.save()
    return check


@transaction.atomic
def reopen(show: Show) -> None:
    """Let marks be made again; the words of the report stay."""
    held = lock(show)
    check = LineCheck.objects.filter(show=held).exclude(closed_at=None).first()
    if check is not None:
        check.closed_by = check.closed_at = check.closed_arrived_at = None
        check.version += 1
        check.save()


def _marks(check: LineCheck) -> list[LineCheckMark]:
    return list(check.marks.select_related("input").order_by("input__number", "at"))


def _was_marked_meanwhile(row: LineCheckMark, seen: int | None, by: User) -> bool:
    """Whether somebody else has marked the input since the page was made.

    Marks of one's own do not count: without a network a press and the form that explains it are
    both written on a page that shows neither.
    """
    return bool(row.version) and seen is not None and row.version != seen and row.by_id != by.pk


def _check_deviation(state: State, difference: Deviation) -> None:
    if state == State.OK:
        raise ValidationError(NOT_OK)
    missing = {} if difference.why else {"why": REASON_MISSING}
    if not difference.words.strip():
        missing["words"] = WORDS_MISSING
    if missing:
        raise ValidationError(missing)


def _note_for_the_day(
    show: Show, row: LineCheckMark, state: State, difference: Deviation | None, by: User
) -> None:
    """What holds for this show: a substitute, or that the input is not used after all."""
    entry = row.input
    if difference is None:
        # It was heard, so it is used at this show after all.
        if state != State.ABSENT and row_of(show, entry).absent:
            differ(show, entry, by=by, absent=False)
        return
    values = {"why": difference.why, "words": difference.words.strip()}
    if state == State.ABSENT:
        differ(show, entry, by=by, absent=True, **values)
        return
    safe = {} if difference.as_it_is else safe_with(row_of(show, entry), difference.device)
    there = {"absent": False, "device": difference.device, "hired_locally": difference.hired}
    differ(show, entry, by=by, decided=FIELDS, **values, **there, **safe)


def safe_with(day: DayInput, device: Device | None) -> dict[str, bool | str]:
    """What is set for `device` where it takes the place of what is in use that day: field → safe
    value. Two people at a desk between two songs have no time for questions."""
    return {name: value for swap in doubtful_with(day, device) for name, value in swap.safe.items()}


def _write_down(
    row: LineCheckMark, day: DayInput, state: State, difference: Deviation | None
) -> None:
    substitute = day.is_substituted and state != State.ABSENT
    row.why, row.words = _why(row, day, state, difference)
    row.state = state
    row.device = day.entry.device if substitute else None
    row.instead_of = day.listed.device if substitute else None
    row.to_mind = "\n".join(day.cautions) if substitute else ""
    departs = substitute or state != State.OK
    row.departs_from = signed_by_player(day.listed.rig) if departs else None


def _why(
    row: LineCheckMark, day: DayInput, state: State, difference: Deviation | None
) -> tuple[str, str]:
    """Why and words as given now, or else as given before for that state, on this check or on the
    list of the show."""
    if difference is not None:
        return difference.why, difference.words.strip()
    if row.version and row.state == state:
        return row.why, row.words
    listed = day.difference
    about = state == State.ABSENT and day.absent
    if listed is not None and (about or (state != State.ABSENT and day.is_substituted)):
        return listed.why, listed.words
    return "", ""


def signed_by_player(rig: Rig) -> SignOff | None:
    """The player's signature, where their last word is one. Three queries."""
    last = sign_off_status_of(rig).player.sign_off
    return last if last is not None and last.decision == SignOff.Decision.SIGNED else None
