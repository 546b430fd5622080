"""The specification as it is asked for at a show or along a leg, to read."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import each_of, leading
from core.models import Leg, Show
from rigs.backline.compare import Fit, fit_of, named
from rigs.lists.state import ListState
from rigs.models import BacklineAnswer, BacklineChange, BacklineLine


@dataclass(frozen=True, slots=True)
class Asked:
    """A line with its answer at the show it is read for; None where there is none."""

    line: BacklineLine
    answer: BacklineAnswer | None = None

    @property
    def fit(self) -> Fit | None:
        return self._fit(self.answer.offered) if self.answer else None

    @property
    def fit_of_what_came(self) -> Fit | None:
        return self._fit(self.answer.came) if self.answer else None

    def _fit(self, what: str) -> Fit | None:
        line = self.line
        return fit_of(what, wanted=line.wanted, accepted=line.accepted, refused=line.refused)

    @property
    def has_come(self) -> bool:
        return self.answer is not None and bool(self.answer.came or self.answer.came_count)

    @property
    def missing(self) -> int:
        """How many fewer came than are asked for; 0 where nothing is said of a number."""
        if self.answer is None or self.answer.came_count is None:
            return 0
        return max(0, self.line.count - self.answer.came_count)

    @property
    def is_settled(self) -> bool:
        """Whether nobody need ask any more: an offer is accepted, or enough came."""
        if self.answer is None or self.missing:
            return False
        return self.has_come or self.answer.reply == BacklineAnswer.Reply.TAKEN

    @property
    def warnings(self) -> list[str]:
        """What somebody should look at, in sentences."""
        said = []
        if self.fit is Fit.REFUSED and self.answer.reply != "refused":  # type: ignore[union-attr]
            said.append(_("What is offered is among what is not accepted."))
        if self.fit_of_what_came is Fit.REFUSED:
            said.append(_("What came is among what is not accepted."))
        if self.missing:
            said.append(
                _("{missing} of {count} did not come.").format(
                    missing=self.missing, count=self.line.count
                )
            )
        return said


def lines_at(show: Show) -> QuerySet[BacklineLine]:
    """What is asked for at `show`: that of its leg, then its own."""
    lines = BacklineLine.objects.live().filter(leg=show.leg_id)
    wanted: QuerySet[BacklineLine] = lines.filter(Q(show=None) | Q(show=show))
    return wanted


def asked_at(show: Show) -> list[Asked]:
    """Two queries, however many lines."""
    answers = {row.line_id: row for row in BacklineAnswer.objects.filter(show=show)}
    lines = sorted(lines_at(show), key=lambda line: (line.show_id is not None, line.position))
    return [Asked(line, answers.get(line.pk)) for line in lines]


def asked_along(leg: Leg) -> list[Asked]:
    """What every show of `leg` is asked for. One query."""
    return [Asked(line) for line in _lines_of(leg) if line.show_id is None]


def _lines_of(leg: Leg) -> list[BacklineLine]:
    """What its shows are asked for. One query the first time; the leg, as it was read for this
    page, keeps the answer for the other parts of it."""
    kept: list[BacklineLine] | None = leg.__dict__.get(_KEPT)
    if kept is None:
        kept = leg.__dict__[_KEPT] = list(BacklineLine.objects.live().filter(leg=leg))
    return kept


_KEPT = "_backline_lines"


def tallies(shows: Sequence[Show]) -> dict[UUID, tuple[int, int]]:
    """How many lines each show of one leg asks for, and how many are not settled. Two queries.

    The shows have their leg at hand."""
    if not shows:
        return {}
    lines = _lines_of(shows[0].leg)
    answers = {
        (row.show_id, row.line_id): row for row in BacklineAnswer.objects.filter(show__in=shows)
    }
    counts = {}
    for show in shows:
        asked = [
            Asked(line, answers.get((show.pk, line.pk)))
            for line in lines
            if line.show_id in (None, show.pk)
        ]
        counts[show.pk] = (len(asked), sum(not each.is_settled for each in asked))
    return counts


def changes_of(leg: Leg, show: Show | None) -> QuerySet[BacklineChange]:
    """Of the lines that hold at `show`, or of those of the whole leg; the newest first."""
    changes = BacklineChange.objects.filter(line__leg=leg).select_related("line", "show")
    if show is None:
        return changes.filter(line__show=None, show=None)
    about = Q(line__show=None) | Q(line__show=show)
    return changes.filter(about, Q(show=None) | Q(show=show))


def state_of(asked: Iterable[Asked]) -> ListState:
    """What a print was made from: a digest of every line and answer with its version."""
    asked = list(asked)
    rows = [f"{each.line.pk} {each.line.version}" for each in asked]
    rows += [f"{each.answer.pk} {each.answer.version}" for each in asked if each.answer]
    newest = BacklineChange.objects.filter(line__in=_ids(asked)).order_by("at")
    times = list(newest.values_list("at", flat=True))
    digest = hashlib.sha256("\n".join(sorted(rows)).encode()).hexdigest()
    return ListState(len(times), digest, times[-1] if times else None)


def _ids(asked: Collection[Asked]) -> list[UUID]:
    return [each.line.pk for each in asked]


HEADINGS = [
    gettext_lazy("Count"),
    gettext_lazy("What"),
    gettext_lazy("Wanted"),
    gettext_lazy("Accepted instead"),
    gettext_lazy("Not accepted"),
    gettext_lazy("Notes"),
    gettext_lazy("Offered"),
    gettext_lazy("Offered by"),
    gettext_lazy("Our reply"),
    gettext_lazy("Came"),
    gettext_lazy("How many came"),
    gettext_lazy("About it"),
]


def as_rows(asked: Iterable[Asked]) -> list[list[str]]:
    """The specification as a grid, headings first."""
    return [[str(each) for each in HEADINGS], *(_row(each) for each in asked)]


def _row(asked: Asked) -> list[str]:
    line, answer = asked.line, asked.answer
    wants = ["; ".join(named(text)) for text in (line.wanted, line.accepted, line.refused)]
    notes = " ".join(line.notes.split())
    row = [str(line.count), line.what, *wants, notes]
    if answer is None:
        return [*row, "", "", "", "", "", ""]
    is_open = answer.reply == BacklineAnswer.Reply.OPEN
    reply = "" if is_open else answer.get_reply_display()
    count = "" if answer.came_count is None else str(answer.came_count)
    return [*row, answer.offered, answer.from_whom, reply, answer.came, count, answer.notes]


PAPER_HEADINGS = [
    *HEADINGS[:6],
    gettext_lazy("Offered"),
    gettext_lazy("Came"),
    gettext_lazy("About it"),
]


def paper_rows(asked: Iterable[Asked]) -> list[list[str]]:
    """The same with what belongs together in one column, so that a line fits the page."""
    return [[str(each) for each in PAPER_HEADINGS], *(_paper_row(_row(each)) for each in asked)]


def _paper_row(row: list[str]) -> list[str]:
    offered, from_whom, reply, came, count, about = row[6:]
    came = f"{count} × {came}".removesuffix(" × ") if count else came
    said = each_of((offered, from_whom))
    return [*row[:6], leading(said, reply), came, about]
