"""What a kind of cause says about itself: what each size does to bands and EXTRAS. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from notes.causes.hearing import EXTRAS

Real = NDArray[np.float64]
NO_EXTRAS = (0.0,) * len(EXTRAS)
LOOSE = (0.8, 0.8, 1.5, 0.5, 0.5)


@dataclass(frozen=True, slots=True)
class Size:
    """One size of a cause: what it does to each band, dB, and to the EXTRAS; `words` in the trade's
    units, and `value` and `way` by which neighbouring sizes are put together to an interval."""

    value: float
    words: str
    bands: Real
    extras: tuple[float, ...] = NO_EXTRAS
    way: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """`label` names it; `sizes` makes its curves at given frequencies; `tells` is what would tell
    it from others; `keeps_level`: whether its level is part of it, or whatever it came to is."""

    key: str
    label: str
    sizes: Callable[[Real], Sequence[Size]]
    tells: str
    keeps_level: bool = False
    # What of the history points to it: pairs of kind of part and field ("" for any field).
    fields: tuple[tuple[str, str], ...] = ()
    # What a control is called whose turning points to it, in small letters.
    controls: tuple[str, ...] = ()
    # How often it is the cause against others, before anything is heard or known.
    beforehand: float = 1.0
    # Which of the EXTRAS has to be heard for it to be asked about at all.
    needs: int | None = None
    # By how much the EXTRAS may be off from what is said, in their order and units.
    loose: tuple[float, ...] = LOOSE
    # And the bands, dB, neighbours alike: what it does to them depends on what is played.
    loose_bands: float = 0.0
