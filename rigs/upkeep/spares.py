"""Spares to carry, counted by kind and type over rigs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from rigs.models import Spare

_ORDER = {sort: at for at, sort in enumerate(Spare.Sort.values)}


@dataclass(slots=True)
class Carry:
    """One line: so many of this type, for these units. `in_use` is what the rigs take."""

    sort: str
    what: str
    count: int = 0
    in_use: int = 0
    where: list[str] = field(default_factory=list)

    @property
    def line(self) -> str:
        return f"{self.sort}: {self.what}"

    @property
    def places(self) -> str:
        return ", ".join(dict.fromkeys(self.where))


def spares_to_carry(spares: Iterable[Spare]) -> list[Carry]:
    """Spares of one kind, type and maker are counted together. Those of which none is carried are
    left out. Needs `unit` fetched along."""
    counted: dict[tuple[int, str], Carry] = {}
    for spare in spares:
        if not spare.carried:
            continue
        what = type_of(spare)
        key = (_ORDER.get(spare.sort, len(_ORDER)), what.casefold())
        line = counted.setdefault(key, Carry(spare.get_sort_display(), what))
        line.count += spare.carried
        line.in_use += spare.in_use
        line.where.append(str(spare.unit))
    return [counted[key] for key in sorted(counted)]


def type_of(spare: Spare) -> str:
    """What one would ask for in a shop: “Corvane 9 V block”. A head's side is none of its type."""
    parts = (spare.maker, spare.what, f"({spare.gauges})" if spare.gauges else "")
    return " ".join(text for text in parts if text)
