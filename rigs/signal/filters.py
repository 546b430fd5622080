"""High-pass and low-pass filters: what a slope takes from a note, and where a corner may sit.

Analogue magnitudes of the textbook alignments; a device may use another one and differ by a few
dB round the corner. Digital filters made by the bilinear transform differ near half the rate.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from rigs.signal._check import Q, plain, positive, refuse, whole

Kind = Literal["highpass", "lowpass"]
DB_PER_ORDER = 6
HIGHEST_ORDER = 8


def order_from_slope(db_per_octave: float) -> int:
    """Order of a filter whose slope is given in dB per octave: slope / 6.

    Source: common practice (the slope is 6.02 dB per octave and order). Range: 6 to 48 in steps
    of 6. Raises ValueError outside it.
    """
    order = positive("db_per_octave", db_per_octave) / DB_PER_ORDER
    if order != int(order) or order > HIGHEST_ORDER:
        refuse("db_per_octave", db_per_octave, "6, 12, 18 and so on to 48")
    return int(order)


def butterworth_db(frequency: Q, corner: float, order: int, kind: Kind = "highpass") -> Q:
    """Gain in dB (0 or negative) of a Butterworth filter: -10 log10(1 + x^(2n)).

    x = fc/f for a high-pass, f/fc for a low-pass; -3.01 dB at the corner. Source: Butterworth,
    checked against scipy. Range: frequencies above 0 Hz, order 1 to 8. Raises ValueError outside
    it.
    """
    decades = _order(order) * _decades(frequency, corner, kind)
    # logaddexp: at the far end of the stop band x^(2n) itself would not fit a float.
    return plain(-10 * np.logaddexp(0, 2 * decades * np.log(10)) / np.log(10))


def linkwitz_riley_db(frequency: Q, corner: float, order: int = 4, kind: Kind = "highpass") -> Q:
    """Gain in dB of a Linkwitz-Riley filter: two Butterworths of half the order; -6.02 at corner.

    Source: definition, checked against scipy. Range: order 2, 4, 6 or 8, otherwise as
    butterworth_db. Raises ValueError outside it.
    """
    if _order(order) % 2:
        refuse("order", order, "even for this alignment")
    return plain(2 * butterworth_db(frequency, corner, order // 2, kind))


def corner_for_loss(frequency: Q, loss_db: float, order: int, kind: Kind = "highpass") -> Q:
    """Corner in Hz at which a Butterworth takes `loss_db` from a note: f (10^(A/10) - 1)^(1/2n).

    The highest high-pass (or, inverted, the lowest low-pass) that costs a note no more than that.
    Source: butterworth_db solved for fc. Range: loss above 0 to 300 dB, order 1 to 8.
    Raises ValueError outside it.
    """
    if positive("loss_db", loss_db) > 300:
        refuse("loss_db", loss_db, "at most 300 dB")
    # expm1 keeps the digits of a small loss, where 10^(A/10) is close to 1.
    x = np.expm1(loss_db / 10 * np.log(10)) ** (1 / (2 * _order(order)))
    note = positive("frequency", frequency)
    return plain(note * x if _checked_kind(kind) == "highpass" else note / x)


def _order(order: int) -> int:
    # In one place, so that every function words the limit alike.
    return whole("order", order, 1, HIGHEST_ORDER)


def _checked_kind(kind: Kind) -> Kind:
    if kind not in ("highpass", "lowpass"):
        refuse("kind", kind, "highpass or lowpass")
    return kind


def _decades(frequency: Q, corner: float, kind: Kind) -> Q:
    above = np.log10(positive("frequency", frequency)) - np.log10(positive("corner", corner))
    return plain(-above if _checked_kind(kind) == "highpass" else above)
