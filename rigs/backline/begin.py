"""Begin a specification from the gear of the rigs that play."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID

from django.db import transaction

from core.languages.choice import as_stored
from core.models import Leg, Production, Show, User
from rigs.backline.services import check_live, save_line
from rigs.gear.kind import Family
from rigs.lists.pack import by_unit, make_of
from rigs.lists.sizes import SIZES, size_in_words
from rigs.models import BacklineLine, Fact, ShowHire, Unit
from rigs.shows.rigs import played_at

# What a hire firm or a promoter usually provides; instruments and effects travel with their
# players (common practice, no source). What is noted as hired counts whatever it is.
PROVIDED = frozenset({Family.AMPLIFIERS, Family.DRUMS, Family.KEYS})


@dataclass(slots=True)
class Draft:
    """A line that could be asked for: units of one kind, make and size."""

    what: str
    wanted: str
    units: list[Unit] = field(default_factory=list)

    @property
    def notes(self) -> str:
        return f"For {', '.join(dict.fromkeys(str(unit.rig.player) for unit in self.units))}."


def drafts(production: Production, leg: Leg, show: Show | None) -> list[Draft]:
    """What the rigs that play at `show`, or at any show of `leg`, have of what is usually provided,
    and what is noted as hired there. Six queries, however many units."""
    shows = [show] if show else [each for each in leg.shows.all() if not each.is_retired]
    for each in shows:
        each.leg = leg
    playing: set[UUID] = set().union(*played_at(shows).values())
    hired = set(
        ShowHire.objects.filter(show__in=shows, section="units").values_list("what", flat=True)
    )
    units = Unit.objects.live().filter(rig__in=playing, rig__production=production)
    units = units.select_related("rig__player").order_by("rig__player__position", "position", "pk")
    chosen = [
        unit
        for unit in units
        if not unit.traits.person and (unit.traits.family in PROVIDED or make_of(unit) in hired)
    ]
    # Lines are stored in these words, and known by them again.
    with as_stored():
        return _grouped(chosen, sizes_of(chosen))


def sizes_of(units: Iterable[Unit]) -> dict[UUID, str]:
    """The sizes of units in words, where they are noted. One query."""
    facts = Fact.objects.live().filter(unit__in=[u.pk for u in units], key__in=SIZES)
    figures = {(unit, key): value for unit, key, value in facts.values_list("unit", "key", "value")}
    return {unit: size_in_words(own) for unit, own in by_unit(figures).items()}


def _grouped(units: Iterable[Unit], sizes: dict[UUID, str]) -> list[Draft]:
    found: dict[tuple[str, str], Draft] = {}
    for unit in units:
        kind = unit.get_gear_display()
        what = ", ".join(part for part in (kind, sizes.get(unit.pk, "")) if part)
        what, wanted = what[:1].upper() + what[1:], f"{unit.maker} {unit.model}".strip()
        found.setdefault((what, wanted), Draft(what, wanted)).units.append(unit)
    return list(found.values())


@transaction.atomic
def begin(production: Production, leg: Leg, show: Show | None, *, by: User) -> int:
    """Ask for everything of `drafts` that is not asked for yet; how many lines that made.

    Pressed twice it makes nothing twice: a line of the same words counts as asked for, also where
    somebody took it off the list.
    """
    held = Leg.objects.select_for_update().get(pk=leg.pk)
    check_live(held, show)
    there = BacklineLine.objects.filter(leg=leg)
    if show is None:
        there = there.filter(show=None)
    known = {(line.what, line.wanted) for line in there if line.show_id in (None, show and show.pk)}
    made = 0
    for draft in drafts(production, held, show):
        if (draft.what, draft.wanted) in known:
            continue
        line = BacklineLine(
            leg=held,
            show=show,
            what=draft.what,
            wanted=draft.wanted,
            count=len(draft.units),
            notes=draft.notes,
        )
        save_line(line, by=by)
        made += 1
    return made
