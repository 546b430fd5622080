"""Lines of a pack list: watts at each place on stage, kilograms of each case, any count. Pure.

Figures are summed as they are noted. Where one is not noted, the line says so; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from math import ceil
from typing import NamedTuple, Protocol, TypeVar
from urllib.parse import urlencode
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _

from core.languages.words import each_of, leading
from core.units import KG_PER_LB
from rigs.models import Device, Unit

# Unit id and key of a figure → its value in SI.
Figures = Mapping[tuple[UUID, str], Decimal]


def power_by_place(units: Iterable[Unit], figures: Figures) -> list[Count]:
    """Watts at each place on stage, the most first. Needs `rig.player` fetched along."""
    watts: dict[str, Decimal] = {}
    names: dict[str, list[str]] = {}
    for unit in units:
        drawn = figures.get((unit.pk, "mains_power"))
        if drawn is not None:
            place = unit.stage_position.strip() or _("{player}, place not noted").format(
                player=unit.rig.player
            )
            watts[place] = watts.get(place, Decimal(0)) + drawn
            names.setdefault(place, []).append(f"{unit} {_short(drawn)} W")
    # Rounded up, so that a supply planned by the count does not fall short.
    counts = [Count(place, ceil(sum_), each_of(names[place])) for place, sum_ in watts.items()]
    return sorted(counts, key=lambda line: (-(line.count or 0), line.what))


NAMED = 4  # of things that lack something


def some_of(names: Sequence[str]) -> str:
    """The first of `names`, and how many more there are."""
    shown = each_of(names[:NAMED])
    if len(names) <= NAMED:
        return shown
    return _("{names} and {n} more").format(names=shown, n=len(names) - NAMED)


class Thing(NamedTuple):
    """Something that travels: what it is called, whose it is or what for, the case it travels in
    (empty: none noted) and kilograms of all of it (None: not noted)."""

    name: str
    whose: str
    packed_in: str
    kg: Decimal | None


def of_unit(unit: Unit, figures: Figures) -> Thing:
    """Needs `rig.player` fetched along."""
    return Thing(str(unit), str(unit.rig.player), unit.packed_in, figures.get((unit.pk, "weight")))


def of_device(device: Device, count: int) -> Thing:
    kg = None if device.weight_kg is None else device.weight_kg * count
    return Thing(f"{count} × {device}", device.get_form_display(), device.packed_in, kg)


def cases(things: Iterable[Thing]) -> list[Count]:
    """Kilograms of each case by its name, then things with a weight and no case.

    A case with something in it whose weight is not noted weighs more than its count; where none is
    noted there is no count.
    """
    things = list(things)
    counts = [_case(name, inside) for name, inside in by_case(things).items()]
    loose = [
        Count(
            thing.name,
            ceil(thing.kg),
            _("{whose}, no case noted").format(whose=thing.whose),
            kg=thing.kg,
        )
        for thing in things
        if not thing.packed_in.strip() and thing.kg is not None
    ]
    return [*counts, *loose]


def case_address(production: UUID, name: str) -> str:
    """The page of a case, as its label and a device's list of pages name it."""
    return f"{reverse('rigs:case', args=[production])}?{urlencode({'name': name})}"


class _Packed(Protocol):
    @property
    def packed_in(self) -> str: ...


P = TypeVar("P", bound=_Packed)


def by_case(things: Iterable[P]) -> dict[str, list[P]]:
    """What travels in each case, by its name; “Case 10” comes after “Case 9”."""
    packed: dict[str, list[P]] = {}
    for thing in things:
        if thing.packed_in.strip():
            packed.setdefault(thing.packed_in.strip(), []).append(thing)
    return dict(sorted(packed.items(), key=lambda item: natural(item[0])))


def natural(name: str) -> list[tuple[int, str]]:
    return [
        (int(part), "") if part.isdecimal() else (0, part)
        for part in re.split(r"(\d+)", name.casefold())
        if part
    ]


def _case(name: str, inside: list[Thing]) -> Count:
    known = [thing.kg for thing in inside if thing.kg is not None]
    without = [thing.name for thing in inside if thing.kg is None]
    where = each_of(thing.name for thing in inside)
    if without and known:
        where = _("{names}; not weighed: {without}").format(names=where, without=each_of(without))
    elif without:
        where = _("{names}; not weighed").format(names=where)
    kg = sum(known, Decimal(0)) if known else None
    return Count(name, None if kg is None else ceil(kg), where, True, kg=kg)


def _short(value: Decimal) -> str:
    return f"{value.normalize():f}"


@dataclass(slots=True)
class Count:
    """One line of a pack list. `where` says which inputs, units or rigs need it; a count of None
    is not known.

    `kind` says what sort of thing it is and its size, `owned` how many are owned where that is
    stated; hires are noted of `what` alone. `kg` is what a count of kilograms was rounded up from.
    """

    what: str
    count: int | None
    where: str = ""
    is_case: bool = False
    kind: str = ""
    owned: str = ""
    serials: str = ""
    kg: Decimal | None = field(default=None, compare=False)

    @property
    def in_full(self) -> str:
        """Its kind first: “Valve amplifier head, 50 W: Tarn Fifty, 2 owned”."""
        return with_kind(self.what, self.kind, self.owned)

    @property
    def pounds(self) -> int | None:
        """Of a weight; rounded up, as kilograms are."""
        return None if self.kg is None else ceil(self.kg / KG_PER_LB)


def with_kind(what: str, kind: str, owned: str = "") -> str:
    """What a thing is before its make, as whoever hires it out looks for it; a name that says its
    kind stands alone."""
    told = kind and kind.casefold() not in what.casefold()
    named = leading(f"{kind[:1].upper()}{kind[1:]}", what) if told else what
    return f"{named}, {owned}" if owned else named
