"""Loudspeaker cable: resistance, level lost, power lost, damping factor.

Direct-current resistance only. Cable sizing for safety is not covered: current, fusing and mains
wiring follow local code and belong to qualified people.
"""

from __future__ import annotations

import numpy as np

from rigs.signal._check import Q, not_negative, plain, positive

COPPER_OHM_METRES = 1.724e-8  # annealed copper at 20 C, IEC 60028 (value from memory)


def cable_resistance(length: Q, area: float, resistivity: float = COPPER_OHM_METRES) -> Q:
    """Resistance in ohm of both conductors of a cable: 2 rho l / A.

    length in m, area of one conductor in m^2 (2.5 mm^2 is 2.5e-6), resistivity in ohm m.
    Source: definition of resistivity, copper at 20 C. Range: length 0 or more, the rest above 0;
    connectors are not included and copper gains about 0.4 % per kelvin. Raises ValueError.
    """
    per_metre = 2 * positive("resistivity", resistivity) / positive("area", area)
    return plain(not_negative("length", length) * per_metre)


def cable_loss_db(resistance: Q, load: float) -> Q:
    """Level change in dB at the load from the cable: 20 log10(ZL / (ZL + Rc)), 0 or negative.

    Source: voltage divider. Range: resistance 0 ohm or more, load above 0 ohm.
    Raises ValueError outside it.
    """
    total = positive("load", load) + not_negative("resistance", resistance)
    return plain(20 * np.log10(positive("load", load) / total))


def cable_power_share(resistance: Q, load: float) -> Q:
    """Share of the power drawn from the amplifier that heats the cable: Rc / (ZL + Rc).

    Source: Joule. Range: as cable_loss_db. Raises ValueError outside it.
    """
    total = positive("load", load) + not_negative("resistance", resistance)
    return plain(not_negative("resistance", resistance) / total)


def damping_factor(load: Q, output_impedance: float, resistance: float = 0.0) -> Q:
    """Damping factor at the load: ZL / (Zout + Rc).

    Source: definition. Range: load above 0 ohm; output impedance and cable 0 or more, not both 0.
    The voice coil's own resistance, not in here, limits what is heard. Raises ValueError.
    """
    source = not_negative("output_impedance", output_impedance)
    source = source + not_negative("resistance", resistance)
    positive("output_impedance plus resistance", source)
    return plain(positive("load", load) / source)
