"""Spares to carry, counted by kind and type over rigs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from core.languages.words import each_of, leading
from rigs.models import Spare

_ORDER = {sort: at for at, sort in enumerate(Spare.Sort.values)}


@dataclass(slots=True)
class Carry:
    """One line of the spares: how many of one type to carry, and for which units.

    `in_use` is how many the rigs take.
    """

    sort: str
    what: str
    count: int = 0
    in_use: int = 0
    where: list[str] = field(default_factory=list)

    @property
    def line(self) -> str:
        return leading(self.sort, self.what)

    @property
    def places(self) -> str:
        return each_of(dict.fromkeys(self.where))


def spares_to_carry(spares: Iterable[Spare]) -> list[Carry]:
    """The lines of spares to carry, counted over kind, type and maker.

    Spares of which none is carried are left out. Needs `unit` fetched along.
    """
    counted: dict[tuple[int, str], Carry] = {}
    for spare in spares:
        if not spare.carried:
            continue
        what = type_of(spare)
        # Typed on each rig anew, so capitals must not make two lines of one thing.
        key = (_ORDER.get(spare.sort, len(_ORDER)), what.casefold())
        line = counted.setdefault(key, Carry(spare.get_sort_display(), what))
        line.count += spare.carried
        line.in_use += spare.in_use
        line.where.append(str(spare.unit))
    return [counted[key] for key in sorted(counted)]


def type_of(spare: Spare) -> str:
    """What one would ask for in a shop: “Corvane 9 V block”. A drum head’s side is left out."""
    parts = (spare.maker, spare.what, f"({spare.gauges})" if spare.gauges else "")
    return " ".join(text for text in parts if text)
