"""Levels: volts, dBu, dBV, dBFS, pascals and dB SPL. All voltages and pressures are rms."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rigs.signal._check import Q, decibels, plain, positive, within

REFERENCE_PASCALS = 20e-6  # ISO 1683
REFERENCE_DBU_VOLTS = math.sqrt(0.6)  # 1 mW in 600 ohm
SPL_AT_ONE_PASCAL = 20 * math.log10(1 / REFERENCE_PASCALS)
DBU_AT_ONE_VOLT = -20 * math.log10(REFERENCE_DBU_VOLTS)
# The peak of a sine is sqrt(2) times its rms value: 3.0103 dB.
SINE_CREST_DB = 10 * math.log10(2)


def ratio_from_db(level: Q) -> Q:
    """Amplitude ratio of a level difference: 10^(L/20).

    Source: definition of the decibel for field quantities. Range: -1000 to 1000 dB.
    Raises ValueError outside it.
    """
    return plain(10.0 ** (decibels("level", level) / 20))


def db_from_ratio(ratio: Q) -> Q:
    """Level difference in dB of an amplitude ratio: 20 log10(r).

    Source: definition of the decibel for field quantities. Range: ratio above 0.
    Raises ValueError outside it.
    """
    return plain(20 * np.log10(positive("ratio", ratio)))


def dbu_from_volts(volts: Q) -> Q:
    """Level in dBu of a voltage in V rms: 20 log10(V / sqrt(0.6)).

    Source: 0 dBu is 0.7746 V, common practice of the trade. Range: above 0 V.
    Raises ValueError outside it.
    """
    return plain(20 * np.log10(positive("volts", volts)) + DBU_AT_ONE_VOLT)


def volts_from_dbu(level: Q) -> Q:
    """Voltage in V rms of a level in dBu: sqrt(0.6) 10^(L/20).

    Source: as dbu_from_volts. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return plain(REFERENCE_DBU_VOLTS * ratio_from_db(level))


def dbv_from_volts(volts: Q) -> Q:
    """Level in dBV of a voltage in V rms: 20 log10(V / 1 V).

    Source: definition. Range: above 0 V. Raises ValueError outside it.
    """
    return plain(20 * np.log10(positive("volts", volts)))


def volts_from_dbv(level: Q) -> Q:
    """Voltage in V rms of a level in dBV: 10^(L/20).

    Source: definition. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return ratio_from_db(level)


def dbu_from_dbv(level: Q) -> Q:
    """Level in dBu of a level in dBV: L + 2.2185.

    Source: ratio of the two references. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return plain(decibels("level", level) + DBU_AT_ONE_VOLT)


def dbv_from_dbu(level: Q) -> Q:
    """Level in dBV of a level in dBu: L - 2.2185.

    Source: ratio of the two references. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return plain(decibels("level", level) - DBU_AT_ONE_VOLT)


def dbfs_from_dbu(level: Q, full_scale_dbu: float) -> Q:
    """Level in dBFS of a sine in dBu, where `full_scale_dbu` is the sine that reaches full scale.

    Formula: L - L_fs; the headroom left is its negative. Source: definition; which dBu is full
    scale belongs to the converter. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return plain(decibels("level", level) - decibels("full_scale_dbu", full_scale_dbu))


def spl_from_pascals(pascals: Q) -> Q:
    """Sound pressure level in dB of a pressure in Pa rms: 20 log10(p / 20 uPa).

    Source: ISO 1683 reference. Range: above 0 Pa. Raises ValueError outside it.
    """
    return plain(20 * np.log10(positive("pascals", pascals)) + SPL_AT_ONE_PASCAL)


def pascals_from_spl(spl: Q) -> Q:
    """Pressure in Pa rms of a sound pressure level in dB: 20 uPa 10^(L/20).

    Source: ISO 1683 reference. Range: -1000 to 1000 dB. Raises ValueError outside it.
    """
    return plain(REFERENCE_PASCALS * 10.0 ** (decibels("spl", spl) / 20))


def sum_of_levels(levels: Sequence[float]) -> float:
    """Level in dB of several sounds together that have nothing to do with each other.

    Formula: 10 log10(sum of 10^(L/10)): their energies add. Source: ISO 1996-1 and textbook
    acoustics (from memory). Range: -1000 to 1000 dB, one level or more. Raises ValueError outside
    it.
    """
    if not levels:
        raise ValueError("levels: at least one is needed")
    highest = max(float(decibels("level", level)) for level in levels)
    # Against the highest, so that the powers of ten stay within what a float holds.
    return highest + 10 * math.log10(sum(10 ** ((level - highest) / 10) for level in levels))


def sine_equivalent_peak(level: Q, crest_db: float) -> Q:
    """Level of the sine that peaks as high as a signal of rms `level` and crest factor `crest_db`.

    Formula: L + C - 3.0103. Limits of mics and preamps are stated for a sine, so a measured rms
    level has to be raised this way before it is held against them. Source: definition of the
    crest factor. Range: -1000 to 1000 dB, crest 0 dB (square wave) or more.
    Raises ValueError outside it.
    """
    crest = within("crest_db", crest_db, 0, 1000, "dB")
    # Crest factors count from the rms value, a stated limit is the rms value of a sine.
    return plain(decibels("level", level) + crest - SINE_CREST_DB)
