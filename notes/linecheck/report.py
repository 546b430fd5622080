"""What the pages of a line check show: the inputs with their marks, and the report of the show."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple
from uuid import UUID

from django.db.models import Count
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core.composed import Composed, column
from core.models import Leg, Show
from notes.linecheck.words import LineWords
from notes.models import LineCheck, LineCheckMark
from notes.signing.states import sound_as_of, sounds_replaced
from rigs.changes.reasons import LABELS, ReasonKind
from rigs.lists.input_list import DayInput, Differing
from rigs.models import Input
from rigs.places import UnitTonight
from rigs.revisions.sources import heard_of
from rigs.shows.players import WhoPlays, who_of_leg, who_plays
from rigs.shows.services import rows_of

State = LineCheckMark.State


class InputLine(NamedTuple):
    """One input of the show's list, with its mark if it has one."""

    day: DayInput
    mark: LineCheckMark | None
    told: LineWords = LineWords()

    @property
    def state(self) -> str:
        """A key of core.badges.LOOKS."""
        return self.mark.state if self.mark is not None else "unmarked"

    @property
    def has_more(self) -> bool:
        """Whether anything is to be told below the input."""
        marked = self.mark is not None and (self.mark.words or self.mark.arrived_at)
        is_absent = self.day.absent and self.state != "absent"
        told = self.told.scenes or self.told.without or self.told.mixes
        day = self.day.cautions or self.day.unit_tonight
        return bool(told or day or marked or is_absent)

    @property
    def device(self) -> Differing:
        """The cell of the microphone or DI: the list’s, and that day’s."""
        return next(cell for cell in self.day.cells if cell.key == "device")

    @property
    def picks_up(self) -> str:
        """What else than one unit it picks up: whose sound to wait for. Empty for what is plain."""
        heard = heard_of(self.day.listed)
        return "" if heard.is_plain else heard.words

    @property
    def seen(self) -> int:
        return self.mark.version if self.mark is not None else 0

    @property
    def anchor(self) -> str:
        return f"input-{self.day.entry.pk}"


FINISH = "finish"  # the part of the page below the last input


def with_next(lines: Sequence[InputLine]) -> list[tuple[InputLine, str]]:
    """Each line with the place to go to after it, known beforehand for a page without a network:
    the next input below it without a mark, else the end of the list."""
    pairs: list[tuple[InputLine, str]] = []
    after = FINISH
    for line in reversed(lines):
        pairs.append((line, after))
        if line.mark is None:
            after = line.anchor
    return pairs[::-1]


def lines_of(
    show: Show,
    who: WhoPlays | None = None,
    tonight: Mapping[UUID, UnitTonight] | None = None,
) -> list[InputLine]:
    """The inputs of `show` in the order of that day's channels, nothing told yet of their lines.
    `who` plays and what of units is other `tonight` are read where they are not passed in. A query
    besides those of `rows_of`."""
    marks = {mark.input_id: mark for mark in _marks_at(show.pk)}
    days = rows_of(show, who=who or who_plays(show), tonight=tonight)
    return [InputLine(day, marks.get(day.entry.pk)) for day in days]


_marks_at = Composed(
    lambda show: LineCheckMark.objects.filter(line_check__show=show).select_related("by"),
    column(Show),
)


def next_anchor(lines: Sequence[InputLine], after: UUID) -> str:
    """The place to go to on the page: the next input without a mark, else the end of the list."""
    at = next((n for n, line in enumerate(lines) if line.day.entry.pk == after), -1)
    # After those below come those above that were passed over.
    for line in [*lines[at + 1 :], *lines[: max(at, 0)]]:
        if line.mark is None:
            return line.anchor
    return FINISH


class ReportedMark(NamedTuple):
    """A mark as the report tells it."""

    mark: LineCheckMark
    signed_sound: str = ""  # as it was signed

    @property
    def why(self) -> str:
        return _(LABELS[ReasonKind(self.mark.why)]) if self.mark.why else ""


@dataclass(frozen=True)
class Report:
    """What was found at a show. Inputs that were ok are counted, not named."""

    check: LineCheck | None
    who: WhoPlays
    ok: int = 0
    deviates: list[ReportedMark] = field(default_factory=list)
    absent: list[ReportedMark] = field(default_factory=list)
    expected: list[ReportedMark] = field(default_factory=list)  # substitutes that were ok
    unmarked: list[DayInput] = field(default_factory=list)

    @property
    def count(self) -> int:
        return self.ok + len(self.deviates) + len(self.absent) + len(self.unmarked)

    @property
    def words(self) -> str:
        """“12 inputs: 10 ok, 1 changed, 1 not used.”"""
        counts = {
            "n": self.count,
            "ok": self.ok,
            "changed": len(self.deviates),
            "absent": len(self.absent),
        }
        if not self.unmarked:
            said = ngettext(
                "{n} input: {ok} ok, {changed} changed, {absent} not used.",
                "{n} inputs: {ok} ok, {changed} changed, {absent} not used.",
                self.count,
            )
            return said.format(**counts)
        said = ngettext(
            "{n} input: {ok} ok, {changed} changed, {absent} not used, {left} not checked.",
            "{n} inputs: {ok} ok, {changed} changed, {absent} not used, {left} not checked.",
            self.count,
        )
        return said.format(**counts, left=len(self.unmarked))


def report(show: Show) -> Report:
    """The report of `show`: 13 queries, one more where something departs from what was signed."""
    check = LineCheck.objects.select_related("opened_by", "closed_by").filter(show=show).first()
    marks = _marks(show) if check is not None else []
    marks_to_report = _findings(marks)
    marked = {mark.input_id for mark in marks}
    who = who_plays(show)
    return Report(
        check=check,
        who=who,
        ok=sum(mark.state == State.OK for mark in marks),
        deviates=[each for each in marks_to_report if each.mark.state == State.DEVIATES],
        absent=[each for each in marks_to_report if each.mark.state == State.ABSENT],
        expected=[each for each in marks_to_report if each.mark.state == State.OK],
        unmarked=[day for day in rows_of(show, who=who) if day.entry.pk not in marked],
    )


def _marks(show: Show) -> list[LineCheckMark]:
    rows = LineCheckMark.objects.filter(line_check__show=show).select_related(
        "by",
        "device",
        "instead_of",
        "input__rig__player",
        "input__device",
        "departs_from__revision",
        "permanent",
    )
    # Not in SQL: SQLite and PostgreSQL put inputs without a number at opposite ends.
    return sorted(rows, key=lambda m: (m.input.number is None, m.input.number or 0, m.at))


def _findings(marks: Iterable[LineCheckMark]) -> list[ReportedMark]:
    reported = [mark for mark in marks if mark.state != State.OK or mark.is_substitute]
    rigs = {mark.input.rig_id for mark in reported if mark.departs_from is not None}
    replaced = sounds_replaced(list(rigs)) if rigs else {}
    return [
        ReportedMark(
            mark,
            sound_as_of(
                mark.input.rig,
                mark.departs_from.revision.number,
                replaced.get(mark.input.rig_id, []),
            )
            if mark.departs_from is not None
            else "",
        )
        for mark in reported
    ]


class LineCheckTally(NamedTuple):
    """How far the line check of a show is."""

    show: Show
    check: LineCheck | None
    inputs: int
    marked: int
    deviates: int
    absent: int

    @property
    def words(self) -> list[str]:
        """“3 of 12 marked”, “1 changed”, “1 not used”."""
        if self.check is None:
            begin = ngettext("not begun, {n} input", "not begun, {n} inputs", self.inputs)
            return [begin.format(n=self.inputs)]
        if self.check.is_finished:
            words = [_("finished")]
        else:
            said = ngettext("{marked} of {n} marked", "{marked} of {n} marked", self.inputs)
            words = [said.format(marked=self.marked, n=self.inputs)]
        if self.deviates:
            changed = ngettext("{n} changed", "{n} changed", self.deviates)
            words.append(changed.format(n=self.deviates))
        if self.absent:
            absent = ngettext("{n} not used", "{n} not used", self.absent)
            words.append(absent.format(n=self.absent))
        return words


def tallies(leg: Leg) -> list[LineCheckTally]:
    """How far the line check of each show of a leg is, counting the inputs of the rigs that play.

    Three queries, however many shows, and those of `who_of_leg` where nobody asked before.
    """
    who = who_of_leg(leg)
    shows = [each.show for each in who.values()]
    played = {show: each.rigs for show, each in who.items()}
    inputs = Input.objects.live().filter(rig__in=set().union(*played.values()))
    of_rig = dict(inputs.order_by().values_list("rig").annotate(n=Count("pk")))
    checks = {check.show_id: check for check in LineCheck.objects.filter(show__in=shows)}
    marked: dict[UUID, Counter[str]] = defaultdict(Counter)
    marks = LineCheckMark.objects.filter(line_check__show__in=shows, input__retired=False)
    counted = marks.order_by().values_list("line_check__show", "input__rig", "state")
    for show, rig, state, count in counted.annotate(n=Count("pk")):
        # Marks of a rig that was taken off the show since are not counted.
        if rig in played[show]:
            marked[show][state] += count
    return [
        LineCheckTally(
            show,
            checks.get(show.pk),
            sum(of_rig.get(rig, 0) for rig in played[show.pk]),
            marked[show.pk].total(),
            marked[show.pk][State.DEVIATES],
            marked[show.pk][State.ABSENT],
        )
        for show in shows
    ]
