"""Read changeovers: the plan, what was pressed, and both beside each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Membership, Show, User
from rigs.changeover.marks import Mark, Pressed, pressed
from rigs.changeover.state import (
    RISER,
    USER,
    Plan,
    Step,
    by_part,
    place_in_words,
    who_in_words,
)
from rigs.changeover.times import Times, times_of
from rigs.models import Changeover, ChangeoverChange, ChangeoverMark, ChangeoverStep, Riser

NOBODY = gettext_lazy("nobody named")


@dataclass(frozen=True, slots=True)
class StepNow:
    """A step with what was pressed; `ends_s` is when it is done by the plan, `took_s` when it was,
    both from the start of the clock."""

    step: Step
    number: int
    who: str
    place: str
    ends_s: int
    mark: Mark | None = None
    took_s: int | None = None

    @property
    def riser(self) -> str:
        """The id of the riser of the plot it is done on; empty for a place in words."""
        at = self.step.place
        return at.removeprefix(RISER) if at.startswith(RISER) else ""

    @property
    def is_done(self) -> bool:
        return self.mark is not None

    @property
    def late_s(self) -> int | None:
        """Seconds later than planned, negative for earlier; None where it is not known."""
        return None if self.took_s is None else self.took_s - self.ends_s


@dataclass(frozen=True)
class ChangeoverNow:
    """The changeover of a show as it is; `version` 0 where nobody planned one."""

    show: Show
    plan: Plan = field(default_factory=Plan)
    pressed: Pressed = field(default_factory=Pressed)
    names: dict[str, str] = field(default_factory=dict)
    version: int = 0
    number: int = 0

    @cached_property
    def times(self) -> Times:
        return times_of(self.plan.steps)

    @cached_property
    def still(self) -> Times:
        """Of what is not done yet."""
        done = self.pressed.done
        return times_of(step for step in self.plan.steps if step.id not in done)

    @property
    def over_s(self) -> int | None:
        return self.times.over_s(self.plan.there_s)

    @property
    def done_count(self) -> int:
        return sum(step.id in self.pressed.done for step in self.plan.steps)

    @property
    def hands(self) -> list[tuple[str, int]]:
        """What each has to do, by name, the longest first."""
        return [
            (who_in_words(who, self.names) or str(NOBODY), seconds)
            for who, seconds in self.times.hands
        ]

    @cached_property
    def steps(self) -> list[StepNow]:
        ends = self.times.ends
        return [
            StepNow(
                step,
                number,
                who_in_words(step.who, self.names),
                place_in_words(step.place, self.names),
                ends[step.id],
                self.pressed.done.get(step.id),
                self.pressed.after_start(step.id),
            )
            for number, step in enumerate(self.plan.steps, start=1)
        ]

    @property
    def parts(self) -> list[tuple[str, list[StepNow]]]:
        """The steps of each part that has any, under its name."""
        return by_part(self.steps, lambda each: each.step.part)


def changeover_of(show: Show) -> ChangeoverNow:
    """The changeover of `show`: three queries at most."""
    return changeovers_of([show])[show.pk]


def changeovers_of(shows: Sequence[Show]) -> dict[UUID, ChangeoverNow]:
    """The changeover of each show, by its id. Three queries at most, however many shows."""
    rows = {row.show_id: row for row in Changeover.objects.filter(show__in=shows)}
    if not rows:
        return {show.pk: ChangeoverNow(show) for show in shows}
    steps: dict[UUID, list[ChangeoverStep]] = defaultdict(list)
    names: dict[str, str] = {}
    there = ChangeoverStep.objects.filter(changeover__in=rows.values(), taken_out=False)
    for step in there.select_related("person", "riser").order_by("position", "pk"):
        steps[step.changeover_id].append(step)
        if step.person is not None:
            names[f"{USER}{step.person_id}"] = step.person.name
        if step.riser is not None:
            names[f"{RISER}{step.riser_id}"] = step.riser.name
    marks: dict[UUID, list[Mark]] = defaultdict(list)
    for mark in ChangeoverMark.objects.filter(changeover__in=rows.values()):
        marks[mark.changeover_id].append(mark)
    return {show.pk: _now(show, rows.get(show.pk), steps, marks, names) for show in shows}


def _now(
    show: Show,
    row: Changeover | None,
    steps: dict[UUID, list[ChangeoverStep]],
    marks: dict[UUID, list[Mark]],
    names: dict[str, str],
) -> ChangeoverNow:
    if row is None:
        return ChangeoverNow(show)
    return ChangeoverNow(
        show,
        Plan(tuple(map(step_of, steps[row.pk])), row.there_s),
        pressed(marks[row.pk]),
        names,
        row.version,
        row.number,
    )


def step_of(row: ChangeoverStep) -> Step:
    return Step(
        str(row.pk),
        row.part,
        row.words,
        f"{RISER}{row.riser_id}" if row.riser_id else row.place,
        f"{USER}{row.person_id}" if row.person_id else row.name,
        row.planned_s,
        row.side_by_side,
    )


def plan_at(show: Show, version: int) -> Plan:
    """The plan as it was at `version`, an empty one at 0. Raises ValidationError."""
    if version == 0:
        return Plan()
    found = ChangeoverChange.objects.filter(changeover__show=show, number=version).first()
    if found is None:
        raise ValidationError(_("This page is of a plan that is not there. Open it anew."))
    return Plan.from_plain(found.state)


@dataclass(frozen=True, slots=True)
class Crew:
    """The people of a production and the risers of its plot, for what is typed into “who” and
    “riser or place”. `names` are by “user:id”, `risers` by “riser:id”."""

    names: dict[str, str]
    risers: dict[str, str] = field(default_factory=dict)

    def read(self, typed: str) -> str:
        """“user:id” where exactly one person is called that, else the name as typed."""
        return _called(typed, self.names)

    def shown(self, who: str) -> str:
        return who_in_words(who, self.names)

    def read_place(self, typed: str) -> str:
        """“riser:id” where a riser is called that, else the place as typed."""
        return _called(typed, self.risers)

    @property
    def every_name(self) -> dict[str, str]:
        return self.names | self.risers


def _called(typed: str, names: dict[str, str]) -> str:
    text = " ".join(typed.split())
    called = [key for key, name in names.items() if name.casefold() == text.casefold()]
    return called[0] if len(called) == 1 else text


def crew_of(production: UUID, besides: Iterable[Step] = ()) -> Crew:
    """Everybody of a production and its risers, and whoever and whatever the steps of `besides`
    name though they left. Four queries at most.
    """
    steps = list(besides)
    return Crew(
        _people(production, [step.who for step in steps]),
        _risers(production, [step.place for step in steps]),
    )


def _risers(production: UUID, besides: Iterable[str]) -> dict[str, str]:
    there = Riser.objects.live().filter(production=production)
    names = {f"{RISER}{pk}": name for pk, name in there.values_list("pk", "name")}
    left = [p.removeprefix(RISER) for p in besides if p.startswith(RISER) and p not in names]
    if left:
        gone = Riser.objects.filter(pk__in=left).values_list("pk", "name")
        names |= {f"{RISER}{pk}": name for pk, name in gone}
    return names


def _people(production: UUID, besides: Iterable[str]) -> dict[str, str]:
    members = Membership.objects.filter(production=production)
    rows = User.objects.filter(pk__in=members.values("user")).order_by("name")
    names = {f"{USER}{pk}": name for pk, name in rows.values_list("pk", "name")}
    left = [who.removeprefix(USER) for who in besides if who.startswith(USER) and who not in names]
    if left:
        gone = User.objects.filter(pk__in=left).values_list("pk", "name")
        names |= {f"{USER}{pk}": name for pk, name in gone}
    return names
