"""Microphones: sensitivity forms, output at a sound pressure, gain, noise."""

from __future__ import annotations

import math

import numpy as np

from rigs.signal._check import Q, decibels, plain, positive, within
from rigs.signal.levels import DBU_AT_ONE_VOLT, SPL_AT_ONE_PASCAL, db_from_ratio, ratio_from_db

BOLTZMANN = 1.380649e-23  # J/K, exact in the SI since 2019
# The usual reference temperature of noise figures, about 17 °C; common practice.
ROOM_KELVIN = 290.0
# The share b of the pressure gradient in a pattern a + b cos(angle), a + b = 1. The closed forms
# are those of any textbook on microphones (from memory); wide cardioids differ among makers, and
# 0.3 is common practice, no source.
GRADIENT_SHARE = {
    "omni": 0.0,
    "subcardioid": 0.3,
    "cardioid": 0.5,
    "supercardioid": (3 - math.sqrt(3)) / 2,
    "hypercardioid": 0.75,
    "figure8": 1.0,
}


def sensitivity_db(volts_per_pascal: Q) -> Q:
    """Sensitivity level in dB re 1 V/Pa of a sensitivity in V/Pa: 20 log10(M).

    Source: IEC 60268-4 (clause from memory). Range: above 0 V/Pa. Raises ValueError outside it.
    """
    return db_from_ratio(positive("volts_per_pascal", volts_per_pascal))


def sensitivity_from_db(level: Q) -> Q:
    """Sensitivity in V/Pa of a level in dB re 1 V/Pa: 10^(L/20).

    Source: as sensitivity_db. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return ratio_from_db(level)


def output_dbv(spl: Q, volts_per_pascal: float) -> Q:
    """Open-circuit output in dBV at a sound pressure level: LM + (Lp - 93.979).

    Source: definition of sensitivity. Range: sensitivity above 0 V/Pa; loading by the input and
    the mic's own overload are not included. Raises ValueError outside it.
    """
    gap = decibels("spl", spl) - SPL_AT_ONE_PASCAL
    return plain(sensitivity_db(volts_per_pascal) + gap)


def output_dbu(spl: Q, volts_per_pascal: float) -> Q:
    """Open-circuit output in dBu at a sound pressure level: output in dBV + 2.2185.

    Source, range and errors: as output_dbv (raises ValueError).
    """
    return plain(output_dbv(spl, volts_per_pascal) + DBU_AT_ONE_VOLT)


def gain_needed(level: Q, target: float) -> Q:
    """Gain in dB that lifts `level` to `target`, both in the same unit: target - level.

    Negative means a pad. Source: definition. Range: -1000 to 1000 dB.
    Raises ValueError outside it.
    """
    return plain(decibels("target", target) - decibels("level", level))


def self_noise_snr(self_noise: Q, spl: float = SPL_AT_ONE_PASCAL) -> Q:
    """Signal-to-noise ratio in dB at `spl` of a mic with equivalent noise level `self_noise`.

    Formula: Lp - N; left alone, the level is 1 Pa (93.98 dB). Source: idea of IEC 60268-4.
    Range: both levels with the same weighting, -1000 to 1000 dB. Room and preamp noise come on
    top. Raises ValueError outside it.
    """
    return plain(decibels("spl", spl) - decibels("self_noise", self_noise))


def thermal_noise_volts(ohms: Q, bandwidth: float, kelvin: float = ROOM_KELVIN) -> Q:
    """Thermal noise in V rms of a resistance over a bandwidth in Hz: sqrt(4 k T R B).

    Source: Johnson and Nyquist; k from CODATA. Range: all above 0.
    Raises ValueError outside it.
    """
    heat = 4 * BOLTZMANN * positive("kelvin", kelvin) * positive("bandwidth", bandwidth)
    return plain(math.sqrt(heat) * positive("ohms", ohms) ** 0.5)


def output_noise_dbu(input_noise_dbu: Q, gain_db: float) -> Q:
    """Noise at a preamp's output in dBu: equivalent input noise + gain.

    Source: definition of equivalent input noise. Range: -1000 to 1000 dB; most preamps state it
    at high gain only, and are noisier than this at low gain. Raises ValueError outside it.
    """
    return plain(decibels("input_noise_dbu", input_noise_dbu) + decibels("gain_db", gain_db))


def proximity_rise_db(frequency: Q, distance: float, speed: float, gradient: float) -> Q:
    """How much more in dB a mic hears of a small source `distance` m in front of it than of a far
    one as loud, at frequencies in Hz: 10 log10(1 + (b / kr)^2), k = 2 pi f / c.

    `gradient` is the share b of the pressure gradient, as in GRADIENT_SHARE. Source: the pressure
    and its gradient in a spherical wave, e^(-jkr) / r, such as in L. Beranek, Acoustics (from
    memory). Range: all above 0, b from 0 to 1; on axis, a source small against the distance. A
    large one close by, such as a loudspeaker's cone, makes less of it, and makers
    turn lows down for it, so it is the most that can be. Raises ValueError outside it.
    """
    share = within("gradient", gradient, 0, 1, "of the whole")
    turn = 2 * math.pi * positive("frequency", frequency) * positive("distance", distance)
    return plain(10 * np.log10(1 + (share * positive("speed", speed) / turn) ** 2))
