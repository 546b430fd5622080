"""Lines of a pack list: watts at each place on stage, kilograms of each case, any count. Pure.

Figures are summed as they are noted. Where one is not noted, the line says so; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from urllib.parse import urlencode
from uuid import UUID

from django.urls import reverse

from rigs.models import Unit

# Unit id and key of a figure → its value in SI.
Figures = Mapping[tuple[UUID, str], Decimal]


def power_by_place(units: Iterable[Unit], figures: Figures) -> list[Count]:
    """Watts at each place on stage, the most first. Needs `rig.player` fetched along."""
    watts: dict[str, Decimal] = {}
    names: dict[str, list[str]] = {}
    for unit in units:
        drawn = figures.get((unit.pk, "mains_power"))
        if drawn is not None:
            place = unit.stage_position.strip() or f"{unit.rig.player}, place not noted"
            watts[place] = watts.get(place, Decimal(0)) + drawn
            names.setdefault(place, []).append(f"{unit} {_short(drawn)} W")
    # Rounded up, so that a supply planned by the count does not fall short.
    counts = [Count(place, ceil(sum_), ", ".join(names[place])) for place, sum_ in watts.items()]
    return sorted(counts, key=lambda line: (-(line.count or 0), line.what))


def cases(units: Iterable[Unit], figures: Figures) -> list[Count]:
    """Kilograms of each case by its name, then units with a weight and no case.

    A case with a unit whose weight is not noted weighs more than its count; where none is noted
    there is no count.
    """
    counts = [_case(name, inside, figures) for name, inside in by_case(units).items()]
    loose = [
        Count(str(unit), ceil(figures[unit.pk, "weight"]), f"{unit.rig.player}, no case noted")
        for unit in units
        if not unit.packed_in.strip() and (unit.pk, "weight") in figures
    ]
    return [*counts, *loose]


def case_address(production: UUID, name: str) -> str:
    """The page of a case, as its label and a device's list of pages name it."""
    return f"{reverse('rigs:case', args=[production])}?{urlencode({'name': name})}"


def by_case(units: Iterable[Unit]) -> dict[str, list[Unit]]:
    """The units in each case, by its name; “Case 10” comes after “Case 9”."""
    packed: dict[str, list[Unit]] = {}
    for unit in units:
        if unit.packed_in.strip():
            packed.setdefault(unit.packed_in.strip(), []).append(unit)
    return dict(sorted(packed.items(), key=lambda item: _natural(item[0])))


def _natural(name: str) -> list[tuple[int, str]]:
    return [
        (int(part), "") if part.isdecimal() else (0, part)
        for part in re.split(r"(\d+)", name.casefold())
        if part
    ]


def _case(name: str, inside: list[Unit], figures: Figures) -> Count:
    known = [figures[unit.pk, "weight"] for unit in inside if (unit.pk, "weight") in figures]
    without = [str(unit) for unit in inside if (unit.pk, "weight") not in figures]
    where = ", ".join(str(unit) for unit in inside)
    if without and known:
        where += f"; not weighed: {', '.join(without)}"
    elif without:
        where += "; not weighed"
    return Count(name, ceil(sum(known)) if known else None, where, True)


def _short(value: Decimal) -> str:
    return f"{value.normalize():f}"


@dataclass(slots=True)
class Count:
    """One line of a pack list. `where` says which inputs, units or rigs need it; a count of None
    is not known.

    `kind` says what sort of thing it is, of a microphone or DI how many are owned where that is
    stated; hires are noted of `what` alone.
    """

    what: str
    count: int | None
    where: str = ""
    is_case: bool = False
    kind: str = ""

    @property
    def in_full(self) -> str:
        """With its kind, “Tarn Fifty, valve amplifier head”, unless its name says the kind."""
        return with_kind(self.what, self.kind)


def with_kind(what: str, kind: str) -> str:
    return f"{what}, {kind}" if kind and kind.casefold() not in what.casefold() else what
