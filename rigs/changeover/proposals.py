"""First steps for a changeover, from what plays tonight. Offered, and never put in by itself."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from core.models import Show
from rigs.changeover.state import RISER, SET, STRIKE, Plan, Step, in_parts, place_in_words
from rigs.gear.kind import Family
from rigs.models import Input, LentLine, PatchBox, Riser, Unit
from rigs.shows.players import WhoPlays, who_plays

# What goes on first is what others stand around; microphones are the last to come and the first to
# go (common practice, no source).
IN_ORDER = ((Family.DRUMS, "Kit"), (Family.AMPLIFIERS, "Amps"), (Family.KEYS, "Keys"))


@dataclass(frozen=True, slots=True)
class Offer:
    """A step that could be put in, under a key of its own; `chosen` where it is ticked at first."""

    key: str
    step: Step
    chosen: bool = True
    place: str = ""  # of the step, in words

    def ticked(self, chosen: bool) -> Offer:
        return replace(self, chosen=chosen)


def offers(show: Show, plan: Plan) -> list[Offer]:
    """Steps for `show` that are not in `plan` yet: what comes on of the rigs that play, boxes of
    the patch and lines lent to others. What belongs to somebody with a riser goes on it. Nine
    queries, however many units.

    What comes on is ticked; the same going off again, for where this act plays first, is not.
    """
    who = who_plays(show)
    playing = {each.rig.pk for player in who.players for each in player.rigs if each.plays}
    risers = Riser.objects.live().filter(production=show.leg.production_id)
    of_player = {each.player_id: each for each in risers if each.player_id}
    names = {f"{RISER}{each.pk}": each.name for each in risers}
    comes_on = [*_gear(playing, who, of_player), *_boxes(show), *_microphones(playing, who)]
    goes_off = [replace(step, part=STRIKE) for step in reversed(comes_on)]
    chosen = [*_lent(show), *comes_on]
    there = {(step.part, step.words) for step in plan.steps}
    return [
        Offer(
            f"{step.part}:{step.words}",
            step,
            step in chosen,
            place_in_words(step.place, names),
        )
        for step in in_parts((*chosen, *goes_off))
        if (step.part, step.words) not in there
    ]


def with_offers(plan: Plan, chosen: Iterable[Offer]) -> Plan:
    """`plan` with the steps of `chosen` behind its own, each part in its place."""
    steps = (*plan.steps, *(replace(offer.step, id=str(uuid4())) for offer in chosen))
    return Plan(in_parts(steps), plan.there_s)


def _gear(playing: Collection[UUID], who: WhoPlays, risers: Mapping[UUID, Riser]) -> Iterator[Step]:
    units = Unit.objects.live().filter(rig__in=playing).select_related("rig__player")
    rows = list(units.order_by("rig__player__position", "rig", "position", "pk"))
    for family, called in IN_ORDER:
        yield from _of_family([u for u in rows if u.traits.family == family], called, who, risers)


def _of_family(
    units: Sequence[Unit], called: str, who: WhoPlays, risers: Mapping[UUID, Riser]
) -> Iterator[Step]:
    by_player: dict[str, list[Unit]] = {}
    for unit in units:
        if not unit.traits.person:
            by_player.setdefault(who.name_of(unit.rig.player), []).append(unit)
    for player, own in by_player.items():
        riser = risers.get(own[0].rig.player_id)
        places = dict.fromkeys(unit.stage_position for unit in own if unit.stage_position)
        names = ", ".join(dict.fromkeys(unit.name for unit in own))
        step = _step(f"{called} of {player}: {names}", ", ".join(places))
        yield replace(step, place=f"{RISER}{riser.pk}") if riser else step


def _boxes(show: Show) -> Iterator[Step]:
    boxes = PatchBox.objects.live().filter(production=show.leg.production_id)
    for box in boxes:
        yield _step(f"{box.name} ({box.mark}) placed, runs plugged", box.place)


def _microphones(playing: Collection[UUID], who: WhoPlays) -> Iterator[Step]:
    inputs = Input.objects.live().filter(rig__in=playing).exclude(device=None)
    count: dict[str, int] = {}
    for entry in inputs.select_related("rig__player").order_by("rig__player__position", "pk"):
        name = who.name_of(entry.rig.player)
        count[name] = count.get(name, 0) + 1
    for name, number in count.items():
        yield _step(f"Microphones and DIs of {name}: {number}")


def _lent(show: Show) -> Iterator[Step]:
    for line in LentLine.objects.filter(show=show).select_related("box"):
        ways = f" ({line.ways})" if line.ways else ""
        yield replace(_step(f"{line.act}: {line.what}{ways}"), part=STRIKE)


def _step(words: str, place: str = "") -> Step:
    """Cut to what the columns take: names of many drums are long."""
    return Step("", SET, _cut(words, 160), _cut(place, 80))


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 1].rstrip()}…"
