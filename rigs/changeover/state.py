"""The plan of a changeover as plain values: compared, brought together, kept. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Self, TypeVar

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.durations import format_duration
from core.languages.sentences import Sentences, label_retold, show_retold
from core.sets.merge import Clash, Merged, merge_lines, merge_order, merge_value, moved, side_of
from core.sets.words import Says as SetSays

T = TypeVar("T")
STRIKE, SET = "strike", "set"
PARTS = {STRIKE: gettext_lazy("Strike"), SET: gettext_lazy("Set")}
FIELDS = ("part", "words", "place", "who", "planned_s", "side_by_side")
_WHAT = gettext_noop("what is done")
FIELD_LABELS = {
    "part": gettext_lazy("part"),
    "words": gettext_lazy(_WHAT),
    "place": gettext_lazy("riser or place"),
    "who": gettext_lazy("who"),
    "planned_s": gettext_lazy("minutes"),
    "side_by_side": gettext_lazy("may run beside others"),
    "there_s": gettext_lazy("time there is"),
}
THERE = "there"  # the key of what is decided on the time there is
USER = "user:"  # in front of the id of somebody of the production
RISER = "riser:"  # in front of the id of a riser of the plot
MOST_STEPS = 200
MANY = 4  # steps that moved: named one by one up to here


class Says(Sentences):
    """What the history of a plan says."""

    PUT_IN = gettext_noop("{part}: “{words}” put in.")
    TAKEN_OUT = gettext_noop("“{words}” taken out.")
    TIME = gettext_noop("Time there is: {time}.")
    NO_TIME = gettext_noop("No time is given any more.")
    NEW_ORDER = gettext_noop("A new order; {n} steps moved.")
    MOVED = gettext_noop("“{words}” moved to {place}.")
    CHANGED = gettext_noop("“{words}”, {field}: {value}.")
    STAYS = SetSays.STAYS.value
    BEGUN = gettext_noop("Begun with the changeover of {show}.")
    FIRST_STEPS = gettext_noop("First steps from what plays.")


class _Value(Sentences):
    """What the value of a step is called, where nobody typed it."""

    LEFT = gettext_noop("somebody who left")
    GONE = gettext_noop("a riser that is gone")
    YES = gettext_noop("yes")
    NO = gettext_noop("no")
    NOTHING = gettext_noop("nothing")


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `who` is “user:id”, or a name as typed, or empty; so is `place`, with “riser:id”.
    `planned_s` is in s."""

    id: str
    part: str = SET
    words: str = ""
    place: str = ""
    who: str = ""
    planned_s: int | None = None
    side_by_side: bool = True


@dataclass(frozen=True, slots=True)
class Plan:
    """All steps in order, those of the strike first; `there_s` is the time there is, in s."""

    steps: tuple[Step, ...] = ()
    there_s: int | None = None

    @property
    def ids(self) -> list[str]:
        return [step.id for step in self.steps]

    @property
    def by_id(self) -> dict[str, Step]:
        return {step.id: step for step in self.steps}

    def part(self, part: str) -> list[Step]:
        return [step for step in self.steps if step.part == part]

    def plain(self) -> dict[str, Any]:
        return {"there_s": self.there_s, "steps": [asdict(step) for step in self.steps]}

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Self:
        steps = (Step(**step) for step in plain.get("steps", ()))
        return cls(tuple(steps), plain.get("there_s"))


def in_parts(steps: Iterable[Step]) -> tuple[Step, ...]:
    """What goes off before what comes on, otherwise in the order given."""
    return tuple(sorted(steps, key=lambda step: step.part != STRIKE))


def by_part(items: Iterable[T], part_of: Callable[[T], str]) -> list[tuple[str, list[T]]]:
    """`items` of each part that has any, under the name of the part."""
    every = list(items)
    named = [(name, [i for i in every if part_of(i) == part]) for part, name in PARTS.items()]
    return [(str(name), own) for name, own in named if own]


def problems(plan: Plan) -> dict[str, str]:
    """What is wrong, by the id of the step it is wrong at (empty for the whole)."""
    wrong = {step.id: _("Write what is done.") for step in plan.steps if not step.words}
    if len(plan.steps) > MOST_STEPS:
        wrong[""] = _("A changeover has {n} steps at most.").format(n=MOST_STEPS)
    return wrong


def merge(
    base: Plan,
    mine: Plan,
    now: Plan,
    *,
    decided: Mapping[str, str] | None = None,
    same_person: bool = False,
) -> Merged[Plan]:
    """`mine` was made of `base`, while others made `now` of it; `decided` says by key which side
    counts (core.sets.merge)."""
    decided = decided or {}
    steps, clashes, kept = merge_lines(
        base.by_id, mine.by_id, now.by_id, FIELDS, decided=decided, same_person=same_person
    )
    orders, ids = merge_order(
        base.ids, mine.ids, now.ids, set(steps), decided=decided, same_person=same_person
    )
    side = side_of(THERE, decided, same_person)
    there, clashing = merge_value(base.there_s, mine.there_s, now.there_s, side)
    if clashing:
        clashes.append(Clash(THERE, None, "there_s", mine.there_s, there))
    state = Plan(in_parts(steps[each] for each in ids), there)
    return Merged(state, orders, tuple(clashes), tuple(kept))


def who_in_words(who: str, names: Mapping[str, str]) -> str:
    """The name of who does a step; `names` are those of people, by “user:id”."""
    return names.get(who, _Value.LEFT.said()) if who.startswith(USER) else who


def place_in_words(place: str, names: Mapping[str, str]) -> str:
    """Where a step is done; `names` are those of risers, by “riser:id”."""
    return names.get(place, _Value.GONE.said()) if place.startswith(RISER) else place


def in_words(before: Plan, after: Plan, names: Mapping[str, str]) -> list[str]:
    """Sentences on what differs, none where nothing does."""
    return list(_sentences(before, after, names))


def _sentences(before: Plan, after: Plan, names: Mapping[str, str]) -> Iterator[str]:
    was, now = before.by_id, after.by_id
    for step in after.steps:
        if step.id not in was:
            yield Says.PUT_IN.said(part=PARTS[step.part], words=step.words)
    for step in before.steps:
        if step.id not in now:
            yield Says.TAKEN_OUT.said(words=step.words)
    yield from _moves(before, after)
    for step in after.steps:
        if step.id in was:
            yield from _changed(was[step.id], step, names)
    if before.there_s != after.there_s:
        there = format_duration(after.there_s)
        yield Says.TIME.said(time=there) if there else Says.NO_TIME.said()


def _moves(before: Plan, after: Plan) -> Iterator[str]:
    went = moved(before.ids, after.ids)
    places = {each: at for at, each in enumerate(after.ids, start=1)}
    if len(went) > MANY:
        yield Says.NEW_ORDER.said(n=len(went))
        return
    for each in went:
        yield Says.MOVED.said(words=after.by_id[each].words, place=places[each])


def _changed(was: Step, now: Step, names: Mapping[str, str]) -> Iterator[str]:
    for field in FIELDS:
        one, other = getattr(was, field), getattr(now, field)
        if one != other:
            label, value = FIELD_LABELS[field], value_in_words(field, other, names)
            yield Says.CHANGED.said(
                words=was.words, field=label, value=value or _Value.NOTHING.said()
            )


def value_in_words(field: str, value: Any, names: Mapping[str, str]) -> str:
    """A value of a step, or of the whole plan, as pages and histories say it."""
    if field == "who":
        return who_in_words(value, names)
    if field == "place":
        return place_in_words(value, names)
    if field == "part":
        return str(PARTS[value])
    if isinstance(value, bool):
        return (_Value.YES if value else _Value.NO).said()
    return format_duration(value) if field.endswith("_s") else str(value or "")


def words_retold(words: str) -> str:
    """A sentence of the history in the language of the reader."""
    # What is to be done is always typed, whatever it looks like.
    is_typed = f"”, {_WHAT}: " in words
    return Says.retold(
        words,
        part=_part_retold,
        field=lambda label: label_retold(label, FIELD_LABELS.values()),
        value=str if is_typed else _value_retold,
        show=show_retold,
    )


def _part_retold(part: str) -> str:
    return label_retold(part, PARTS.values())


def _value_retold(value: str) -> str:
    return _part_retold(_Value.retold(value))
