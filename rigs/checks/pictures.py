"""What a plot of a finding shows, as plain numbers; rigs.drawing.plots draws it. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from rigs.signal.pickups import PickupCircuit


@dataclass(frozen=True, slots=True)
class FilterPicture:
    """Filters in Hz against the range of notes, low and high in Hz, that pass them."""

    high_pass: float | None
    low_pass: float | None
    low_note: tuple[str, float]
    high_note: tuple[str, float]


@dataclass(frozen=True, slots=True)
class CombPicture:
    """Two paths added: seconds apart, dB apart, one of them inverted or not."""

    delay: float
    level_difference: float = 0.0
    inverted: bool = False


@dataclass(frozen=True, slots=True)
class PickupPicture:
    """A pickup as it is loaded now, and as it would be with a short cable into a high input."""

    now: PickupCircuit
    reference: PickupCircuit
    reference_words: str


Picture = FilterPicture | CombPicture | PickupPicture
