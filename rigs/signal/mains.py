"""Sums of mains current, for asking a qualified person the right question.

Not a wiring design. Inrush, harmonics in the neutral, derating of continuous loads, cable, fuse
and earthing follow local code and belong to a licensed electrician.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rigs.signal._check import Q, not_negative, plain, positive, within


@dataclass(frozen=True)
class MainsLoad:
    """Power drawn in W (0 or more) and power factor (above 0 to 1)."""

    watts: float
    power_factor: float = 1.0

    def __post_init__(self) -> None:
        not_negative("watts", self.watts)
        within("power_factor", positive("power_factor", self.power_factor), 0, 1)


def total_current(loads: Sequence[MainsLoad], volts: float) -> float:
    """Current in A of single-phase loads on one circuit: sum(P / (V pf)).

    The plain sum is the most they can draw together; unlike power factors make it less. Source:
    definition of the power factor. Range: above 0 V rms, any number of loads (none is 0 A).
    Raises ValueError outside it.
    """
    supply = positive("volts", volts)
    return math.fsum(load.watts / (supply * load.power_factor) for load in loads)


def three_phase_current(watts: Q, line_volts: float, power_factor: float = 1.0) -> Q:
    """Current in A per line of a balanced three-phase load: P / (sqrt(3) V pf).

    watts in all, line_volts from line to line. Source: circuit theory. Range: 0 W or more, above
    0 V, power factor above 0 to 1; an unbalanced load puts more on one line and some on the
    neutral. Raises ValueError outside it.
    """
    factor = within("power_factor", positive("power_factor", power_factor), 0, 1)
    apparent = not_negative("watts", watts) / factor
    return plain(apparent / (math.sqrt(3) * positive("line_volts", line_volts)))


def supply_impedance(open_volts: float, loaded_volts: float, current: float) -> float:
    """Impedance in ohm of a supply from two readings: (Voc - Vload) / I.

    Source: Thevenin, resistive. Range: all above 0, the loaded voltage not above the open one;
    readings taken while other loads change say nothing. Raises ValueError outside it.
    """
    drop = positive("open_volts", open_volts) - positive("loaded_volts", loaded_volts)
    # A voltage that rises under load means that something else changed between the readings.
    if drop < 0:
        raise ValueError(
            f"loaded_volts must be at most open_volts ({open_volts!r}), got {loaded_volts!r}"
        )
    return drop / positive("current", current)


def voltage_drop(current: Q, ohms: float) -> Q:
    """Voltage in V lost in an impedance: I Z.

    Source: Ohm, resistive. Range: both 0 or more. Raises ValueError outside it.
    """
    return plain(not_negative("current", current) * not_negative("ohms", ohms))
