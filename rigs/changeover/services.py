"""Change the plan of a changeover, begin it with another one, and note what is pressed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import as_stored
from core.live.notify import notify
from core.models import Show, User
from core.sets.refused import LinesConflict, LinesRefused
from core.sets.services import last_show_before, lock, with_ids_of
from rigs.changeover.marks import DONE, OPEN, START, STOP
from rigs.changeover.records import ChangeoverNow, changeover_of, crew_of, plan_at
from rigs.changeover.search import index
from rigs.changeover.state import (
    FIELDS,
    RISER,
    USER,
    Plan,
    Says,
    Step,
    in_parts,
    in_words,
    merge,
    problems,
    words_retold,
)
from rigs.models import Changeover, ChangeoverChange, ChangeoverMark, ChangeoverStep

RETIRED = gettext_lazy("This show is retired. Restore it before changing its changeover.")
CHANGED = gettext_lazy(
    "Someone else changed this plan meanwhile. Look at what changes now, then take it."
)
NO_STEP = gettext_lazy("This step is not in the plan any more.")


class PlanConflict(LinesConflict[Plan]):
    SAID = gettext_lazy("Someone else changed this changeover, too.")


@ChangeoverChange.told_by
def told_of(change: ChangeoverChange) -> list[str]:
    """What a change did, in the language of the reader."""
    return [words_retold(each) for each in change.words]


def topic_of(show: UUID) -> str:
    """The name under which what happens at a changeover is announced to open pages."""
    return f"changeover:{show}"


@transaction.atomic
def change(
    show: Show,
    mine: Plan,
    *,
    base: int,
    by: User,
    decided: Mapping[str, str] | None = None,
    seen: int | None = None,
) -> list[str]:
    """Make the plan of `show` what `mine` made of version `base`; what others did meanwhile stays.

    `decided` are answers to a conflict that was shown at version `seen`. Returns what changed in
    sentences. Raises PlanConflict, LinesRefused or ValidationError.
    """
    held = lock(show, RETIRED)
    now = changeover_of(held)
    was = now.plan if base == now.version else plan_at(held, base)
    own = _own(held)
    since = list(ChangeoverChange.objects.filter(changeover=own, number__gt=base).defer("state"))
    same_person = all(each.by_id == by.pk for each in since)
    answers = decided if seen in (None, own.version) else None
    merged = merge(was, mine, now.plan, decided=answers, same_person=same_person)
    if not merged.is_decided:
        raise PlanConflict(merged, since[0], own.version)
    if wrong := problems(merged.state):
        raise LinesRefused(wrong)
    stored, words = _say(held, now, merged.state, merged.kept)
    if stored:
        _write(own, merged.state, stored, by)
    return words


@transaction.atomic
def replace_plan(
    show: Show,
    made: Callable[[Plan], Plan],
    *,
    by: User,
    because: str,
    version: int | None = None,
) -> list[str]:
    """Make the plan of `show` what `made` makes of the one that is there; its history keeps that.

    With a `version`, only where the plan is still at it. Raises ValidationError otherwise.
    """
    held = lock(show, RETIRED)
    now = changeover_of(held)
    if version is not None and version != now.version:
        raise ValidationError(CHANGED)
    wanted = made(now.plan)
    if wrong := problems(wanted):
        raise LinesRefused(wrong)
    own = _own(held)
    stored, words = _say(held, now, wanted)
    if stored or own.version == 0:
        _write(own, wanted, [because, *stored], by)
    return words


def taken_from(source: Plan, now: Plan) -> Plan:
    """`source` as the plan of another show: steps alike keep the ids that they have in `now`.

    So what is ticked there stays ticked, and the history says what moved.
    """
    steps = with_ids_of(now.steps, source.steps, lambda step: (step.part, step.words, step.place))
    return Plan(in_parts(steps), source.there_s)


def begin(show: Show, by: User) -> str | None:
    """Give a show that was just made the plan of the one before; None if there is none."""
    source = last_show_before(show, "changeover")
    if source is None:
        return None
    plan = changeover_of(source).plan
    replace_plan(show, lambda now: taken_from(plan, now), by=by, because=begun_with(source))
    return _begun_with(source)


def begun_with(source: Show) -> str:
    """Why, as the history keeps it."""
    with as_stored():
        return _begun_with(source)


def _begun_with(source: Show) -> str:
    return Says.BEGUN.said(show=source)


def wanted(
    show: Show, version: int, steps: Sequence[Mapping[str, Any]], there_s: int | None
) -> Plan:
    """A plan from plain values: the fields of Step, ids as UUID or None, `person` (the id of a
    member) or `name` for who, and `riser` (an id) or `place`.

    A step with an id is one of the plan as it was at `version`. Raises ValidationError, and
    LinesRefused keyed by the place of the step.
    """
    known = plan_at(show, version).by_id
    crew = crew_of(show.leg.production_id, known.values())
    made: list[Step] = []
    wrong: dict[str, str] = {}
    for at, values in enumerate(steps, start=1):
        given = str(values["id"] or "")
        who = f"{USER}{values['person']}" if values["person"] else crew.read(values["name"])
        if given and given not in known:
            wrong[str(at)] = _("Step {at} is not in the plan of that version.").format(at=at)
        elif values["person"] and who not in crew.names:
            wrong[str(at)] = _("Step {at}: there is no such person in this production.").format(
                at=at
            )
        elif values["riser"] and f"{RISER}{values['riser']}" not in crew.risers:
            wrong[str(at)] = _("Step {at}: there is no such riser on the plot.").format(at=at)
        else:
            fields = {name: values[name] for name in FIELDS if name not in ("who", "place")}
            place = (
                f"{RISER}{values['riser']}" if values["riser"] else crew.read_place(values["place"])
            )
            made.append(Step(given or str(uuid4()), who=who, place=place, **fields))
    if len({step.id for step in made}) < len(made):
        wrong[""] = _("A step stands there twice.")
    if wrong:
        raise LinesRefused(wrong)
    return Plan(in_parts(made), there_s)


@transaction.atomic
def mark_step(show: Show, step: UUID | None, what: str, *, by: User) -> tuple[str, ChangeoverNow]:
    """Note that `by` found a step done, or took that back; what to tell them, and what holds now.

    Whatever others press at once, nobody overtakes anybody: marks are only added. `what` is DONE or
    OPEN. Raises ValidationError.
    """
    held = lock(show, RETIRED)
    there = ChangeoverStep.objects.filter(changeover__show=held, taken_out=False)
    row = there.filter(pk=step).first() if step is not None else None
    if row is None or what not in (DONE, OPEN):
        raise ValidationError(NO_STEP)
    # As the history keeps it, in no language of whoever pressed.
    words = f"“{row.words}” {'done' if what == DONE else 'open again'}."
    mine = _mark(held, ChangeoverMark(what=what, step=row, words=[words]), by)
    now = changeover_of(held)
    newest = now.pressed.last[str(step)]
    if newest.pk != mine.pk and newest.what != what:
        said = (
            _("“{step}” stays as it is: {name} ticked it off later.")
            if newest.what == DONE
            else _("“{step}” stays as it is: {name} opened it again later.")
        )
        return said.format(step=row.words, name=newest.by_name), now
    return "", now


@transaction.atomic
def open_all(show: Show, *, by: User) -> int:
    """Take every tick back, as before the clock is started anew; how many there were."""
    held = lock(show, RETIRED)
    done = changeover_of(held).pressed.done
    rows = ChangeoverStep.objects.filter(pk__in=list(done), taken_out=False)
    for row in rows:
        words = [f"“{row.words}” open again."]
        _mark(held, ChangeoverMark(what=OPEN, step=row, words=words), by)
    return len(rows)


@transaction.atomic
def mark_clock(show: Show, what: str, *, by: User) -> str:
    """Start the clock, or stop it; in words what came of it. Raises ValidationError."""
    if what not in (START, STOP):
        raise ValidationError(_("The clock is started or stopped."))
    held = lock(show, RETIRED)
    if changeover_of(held).version == 0:
        raise ValidationError(_("There is no plan yet, so there is nothing to time."))
    said = gettext_lazy("Clock started.") if what == START else gettext_lazy("Clock stopped.")
    with as_stored():
        mine = _mark(held, ChangeoverMark(what=what, words=[str(said)]), by)
    holds = changeover_of(held).pressed
    if what == START:
        running = holds.started
        if holds.is_running and running is not None and running.pk != mine.pk:
            return _("The clock runs already: {name} started it.").format(name=running.by_name)
        return str(said)
    stopped = holds.stopped
    if stopped is not None and stopped.pk != mine.pk:
        return _("The clock was stopped already, by {name}.").format(name=stopped.by_name)
    return str(said) if stopped is not None else _("The clock is not running.")


def _own(show: Show) -> Changeover:
    own, _ = Changeover.objects.get_or_create(show=show)
    return own


def _mark(show: Show, mark: ChangeoverMark, by: User) -> ChangeoverMark:
    # The show is locked, so numbers are given one after the other.
    own = Changeover.objects.get(show=show)
    own.number += 1
    own.save(update_fields=["number"])
    mark.changeover = own
    mark.put_down(by)
    notify(topic_of(show.pk))
    return mark


def _say(
    show: Show, now: ChangeoverNow, plan: Plan, kept: Iterable[str] = ()
) -> tuple[list[str], list[str]]:
    """What changed, and the steps that stay as others made them, twice: as the history keeps it,
    and for whoever changed it."""
    names = crew_of(show.leg.production_id, (*now.plan.steps, *plan.steps)).every_name
    stay = [plan.by_id[each].words for each in kept]

    def told() -> list[str]:
        stays = (Says.STAYS.said(title=each) for each in stay)
        return [*in_words(now.plan, plan, names), *stays]

    with as_stored():
        stored = told()
    return stored, told()


def _write(own: Changeover, plan: Plan, words: Sequence[str], by: User) -> None:
    wanted = {UUID(step.id): (at, step) for at, step in enumerate(plan.steps, start=1)}
    own.steps.exclude(pk__in=wanted).update(taken_out=True)
    there = set(own.steps.values_list("pk", flat=True))
    rows = [_row(own, pk, at, step) for pk, (at, step) in wanted.items()]
    columns = ["part", "position", "words", "riser", "place", "person", "name", "planned_s"]
    columns += ["side_by_side", "taken_out"]
    ChangeoverStep.objects.bulk_update([row for row in rows if row.pk in there], columns)
    ChangeoverStep.objects.bulk_create([row for row in rows if row.pk not in there])
    own.there_s, own.version, own.number = plan.there_s, own.version + 1, own.number + 1
    own.save(update_fields=["there_s", "version", "number"])
    made = ChangeoverChange(
        changeover=own, number=own.version, words=list(words), state=plan.plain()
    )
    made.put_down(by)
    index(own)
    notify(topic_of(own.show_id))


def _row(own: Changeover, pk: UUID, at: int, step: Step) -> ChangeoverStep:
    is_person, is_riser = step.who.startswith(USER), step.place.startswith(RISER)
    return ChangeoverStep(
        pk=pk,
        changeover=own,
        part=step.part,
        position=at,
        words=step.words,
        riser_id=step.place.removeprefix(RISER) if is_riser else None,
        place="" if is_riser else step.place,
        person_id=step.who.removeprefix(USER) if is_person else None,
        name="" if is_person else step.who,
        planned_s=step.planned_s,
        side_by_side=step.side_by_side,
    )
