"""Where changing something can hurt. Pure; the usual cautions, none of them a licence."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Caution(NamedTuple):
    title: str
    text: str


CAUTIONS = {
    "valve": Caution(
        "Valves",
        "Valve amplifiers hold dangerous voltages long after they are switched off. Unplugged, "
        "cooled down and discharged by a qualified technician, who also sets the bias: the inside "
        "is not for anybody else.",
    ),
    "fuse": Caution(
        "Fuses",
        "Pull the mains plug first. Same type and same rating only, never a larger one and never a "
        "bridge. A fuse that goes again is a fault: leave it off and ask a qualified technician.",
    ),
    "battery": Caution(
        "Batteries",
        "Lithium cells: the charger made for them, no crushed, swollen or hot cell is used or "
        "carried, contacts covered. Airlines want spares in the cabin and limit their size; the "
        "carrier’s rules have the last word.",
    ),
}


def caution_for(sort: str) -> Caution | None:
    return CAUTIONS.get(sort)


def cautions_for(sorts: Iterable[str]) -> list[Caution]:
    """Each caution once, in the order of the table above."""
    wanted = set(sorts)
    return [caution for sort, caution in CAUTIONS.items() if sort in wanted]
