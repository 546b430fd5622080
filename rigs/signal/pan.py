"""Pan laws: what each side gets at a position of the control."""

from __future__ import annotations

from typing import Literal

import numpy as np

from rigs.signal._check import Q, plain, refuse, within

Law = Literal["-3", "-4.5", "-6"]


def pan_db(position: Q, law: Law = "-3") -> tuple[Q, Q]:
    """Left and right gain in dB at a position from 0 (left) to 1 (right).

    The law is named for its drop at the centre: "-3" cos and sin, "-6" linear, "-4.5" the root of
    their product. Source: common practice, no source. Range: 0 to 1; a side at its far end is
    -inf; a console may use yet another law. Raises ValueError outside it.
    """
    x = within("position", position, 0, 1)
    if law not in ("-3", "-4.5", "-6"):
        refuse("law", law, "-3, -4.5 or -6")
    return _side_db(plain(1 - x), law), _side_db(x, law)


def _side_db(share: Q, law: Law) -> Q:
    # sin of the share, not cos of its complement: it is exactly 0 at the far end.
    constant_power = np.sin(share * np.pi / 2)
    power = {"-3": constant_power**2, "-6": share**2, "-4.5": constant_power * share}[law]
    with np.errstate(divide="ignore"):
        return plain(10 * np.log10(power))
