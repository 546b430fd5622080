"""Where work on an input can hurt a person or a microphone."""

from __future__ import annotations

from typing import NamedTuple

from rigs.gear import GEAR
from rigs.models import Device, Input


class Caution(NamedTuple):
    title: str
    text: str


RIBBON = Caution(
    "Phantom power on a passive ribbon",
    "A wrong cable or a patch made under power can tear the ribbon. Switch phantom power off and "
    "wait for it to drain before connecting this microphone; the maker’s sheet has the last word.",
)


def input_cautions(entry: Input) -> list[Caution]:
    """Those of the device on this input, then those of what it hears."""
    found = []
    device = entry.device
    if device and entry.phantom and device.principle == Device.Principle.RIBBON:
        found.append(RIBBON)
    gear = GEAR.get(entry.unit.gear) if entry.unit else None
    if gear and gear.caution:
        found.append(Caution(f"Near the {gear.label}", gear.caution))
    return found
