"""First steps for a changeover, from what plays tonight. Offered, and never put in by itself."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from django.conf import settings
from django.utils import translation

from core.languages.marked import Said, gettext_noop, in_a_row
from core.languages.words import told
from core.models import Show
from rigs.changeover.state import RISER, SET, STRIKE, Plan, Step, in_parts, place_in_words
from rigs.gear.kind import Family
from rigs.models import Input, LentLine, PatchBox, Riser, Unit
from rigs.shows.players import WhoPlays, who_plays

# What goes on first is what others stand around; microphones are the last to come and the first to
# go (common practice, no source).
IN_ORDER = (
    (Family.DRUMS, gettext_noop("Kit of {player}: {units}")),
    (Family.AMPLIFIERS, gettext_noop("Amps of {player}: {units}")),
    (Family.KEYS, gettext_noop("Keys of {player}: {units}")),
)

LONGEST = 160


@dataclass(frozen=True, slots=True)
class Offer:
    """A step that could be put in, in the language of the reader, under a key of its own that is
    the same in each; `chosen` where it is ticked at first."""

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
            f"{step.part}:{_cut(step.words, LONGEST)}",
            _in_words(step),
            step in chosen,
            place_in_words(step.place, names),
        )
        for step in in_parts((*chosen, *goes_off))
        if not _in_each_language(step) & there
    ]


def with_offers(plan: Plan, chosen: Iterable[Offer]) -> Plan:
    """`plan` with the steps of `chosen` behind its own, each part in its place."""
    steps = (*plan.steps, *(replace(offer.step, id=str(uuid4())) for offer in chosen))
    return Plan(in_parts(steps), plan.there_s)


def _gear(playing: Collection[UUID], who: WhoPlays, risers: Mapping[UUID, Riser]) -> Iterator[Step]:
    units = Unit.objects.live().filter(rig__in=playing).select_related("rig__player")
    rows = list(units.order_by("rig__player__position", "rig", "position", "pk"))
    for family, words in IN_ORDER:
        yield from _of_family([u for u in rows if u.traits.family == family], words, who, risers)


def _of_family(
    units: Sequence[Unit], words: str, who: WhoPlays, risers: Mapping[UUID, Riser]
) -> Iterator[Step]:
    by_player: dict[str, list[Unit]] = {}
    for unit in units:
        if not unit.traits.person:
            by_player.setdefault(who.name_of(unit.rig.player), []).append(unit)
    for player, own in by_player.items():
        riser = risers.get(own[0].rig.player_id)
        places = dict.fromkeys(unit.stage_position for unit in own if unit.stage_position)
        names = in_a_row(list(dict.fromkeys(unit.name for unit in own)))
        step = _step(Said(words, player=player, units=names), ", ".join(places))
        yield replace(step, place=f"{RISER}{riser.pk}") if riser else step


def _boxes(show: Show) -> Iterator[Step]:
    boxes = PatchBox.objects.live().filter(production=show.leg.production_id)
    for box in boxes:
        words = gettext_noop("{box} ({mark}) placed, runs plugged")
        yield _step(Said(words, box=box.name, mark=box.mark), box.place)


def _microphones(playing: Collection[UUID], who: WhoPlays) -> Iterator[Step]:
    inputs = Input.objects.live().filter(rig__in=playing).exclude(device=None)
    count: dict[str, int] = {}
    for entry in inputs.select_related("rig__player").order_by("rig__player__position", "pk"):
        name = who.name_of(entry.rig.player)
        count[name] = count.get(name, 0) + 1
    for name, number in count.items():
        words = gettext_noop("Microphones and DIs of {player}: {count}")
        yield _step(Said(words, player=name, count=number))


def _lent(show: Show) -> Iterator[Step]:
    for line in LentLine.objects.filter(show=show).select_related("box"):
        ways = f" ({line.ways})" if line.ways else ""
        yield replace(_step(f"{line.act}: {line.what}{ways}"), part=STRIKE)


def _step(words: str, place: str = "") -> Step:
    """Its words are not cut yet, so that they can be told in each language."""
    return Step("", SET, words, _cut(place, 80))


def _in_words(step: Step) -> Step:
    """As it is written into a plan. Cut to what the column takes: names of many drums are long."""
    return replace(step, words=_cut(told(step.words), LONGEST))


def _in_each_language(step: Step) -> set[tuple[str, str]]:
    """What it is known by again, whoever took it over."""
    found = set()
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            found.add((step.part, _in_words(step).words))
    return found


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 1].rstrip()}…"
