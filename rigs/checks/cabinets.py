"""What hangs on an amplifier: its cabinets as the speaker cables wire them. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, BenchLink, BenchUnit
from rigs.signal.loads import Parallel, Series, Wiring

WIRING_WORDS = gettext_lazy(
    "Cabinets are counted in parallel, chained ones too, unless a cable or socket says “series”."
)
# Two characters look alike: the Greek letter omega and the ohm sign.
_OHMS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:Ω|Ω|ohms?\b)", re.IGNORECASE)


@dataclass
class CabinetLoad:
    """The cabinets on an amplifier and how they are wired.

    `wiring` names the impedances in the order of `cabinets`; it is None while any is missing.
    """

    wiring: Wiring | None = None
    cabinets: list[BenchUnit] = field(default_factory=list)

    @property
    def missing(self) -> list[BenchUnit]:
        return [unit for unit in self.cabinets if not unit.facts.get("speaker_impedance")]


def amplifiers(bench: Bench) -> Iterator[tuple[BenchUnit, CabinetLoad]]:
    """Each unit that drives loudspeakers, with its load."""
    for unit in bench.units.values():
        if unit.traits.drives_loudspeakers or "tap_impedance" in unit.facts:
            yield unit, load_of(bench, unit)


def load_of(bench: Bench, amplifier: BenchUnit) -> CabinetLoad:
    """The cabinets an amplifier drives, its own loudspeaker included."""
    load, seen = CabinetLoad(), {amplifier.id}
    branches: list[Wiring] = []
    if amplifier.facts.get("speaker_impedance"):
        load.cabinets.append(amplifier)
        branches.append(amplifier.facts["speaker_impedance"])
    for link in bench.links_from(amplifier.id, "speaker"):
        branches += _branch(bench, link, load, seen)
    if branches and not load.missing:
        load.wiring = branches[0] if len(branches) == 1 else Parallel(tuple(branches))
    return load


def _branch(bench: Bench, link: BenchLink, load: CabinetLoad, seen: set[str]) -> list[Wiring]:
    # A cabinet with two cables is one load, and a loop of cables has to end.
    if link.target in seen:
        return []
    seen.add(link.target)
    cabinet = bench.units[link.target]
    load.cabinets.append(cabinet)
    # A stand-in keeps the shape while an impedance is missing; `wiring` stays None then.
    side_by_side: list[Wiring] = [cabinet.facts.get("speaker_impedance") or 1.0]
    in_series: list[Wiring] = []
    chained = [] if cabinet.traits.hides_load else bench.links_from(cabinet.id, "speaker")
    # Parallel ones first, so that `cabinets` has the order in which `wiring` names them.
    for onward in sorted(chained, key=_is_in_series):
        kind = in_series if _is_in_series(onward) else side_by_side
        kind += _branch(bench, onward, load, seen)
    own = side_by_side[0] if len(side_by_side) == 1 else Parallel(tuple(side_by_side))
    return [Series((own, *in_series)) if in_series else own]


def _is_in_series(link: BenchLink) -> bool:
    return "series" in link.words.casefold()


def tap_of(amplifier: BenchUnit) -> tuple[float | None, float | None]:
    """The impedance in ohm of the tap in use: from a figure, and from the setting of a control."""
    figure = amplifier.facts.get("tap_impedance") or None
    settings = [s for name, s in amplifier.settings.items() if "tap" in name.casefold()]
    match = _OHMS.search(" ".join(settings))
    setting = float(match[1].replace(",", ".")) if match else None
    return figure, setting or None
