"""What something turns the phase by, as far as it follows from its level over frequency. Pure.

Loudspeakers, microphones and tone controls are nearly of minimum phase: what turns the phase is
what turns the level (H. Bode, “Network Analysis and Feedback Amplifier Design”, 1945, from memory).
What is left is a delay, and reflections that arrive late and loud.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
_SIXTH = 2 ** (1 / 6)


def minimum_phase(both: Real, first: Real, hertz: Real) -> Real:
    """Phase in rad at each line, shape (lines,), of minimum phase with the levels that `both`, the
    magnitude of the cross spectrum, has over the power of the `first`, a third of an octave
    together; 0 in lines that do not count. Lines lie evenly from 0 Hz to half the rate."""
    above, below = (over_a_third(each, hertz) for each in (both, first))
    known = np.flatnonzero((above > 0) & (below > 0))
    if len(known) < 2:  # noqa: PLR2004 - a line alone has no slope
        return np.zeros(len(hertz))
    # Beyond what is heard it stays as it was last: nobody knows.
    level = np.interp(np.arange(len(hertz)), known, np.log(above[known] / below[known]))
    # The cepstrum of a minimum phase has nothing before its middle (Oppenheim and Schafer, from
    # memory), so that the phase is the imaginary part of what is folded over.
    cepstrum = np.fft.irfft(level)
    middle = len(cepstrum) // 2
    folded = np.zeros(len(cepstrum))
    folded[0], folded[1:middle], folded[middle] = (
        cepstrum[0],
        2 * cepstrum[1:middle],
        cepstrum[middle],
    )
    return np.asarray(np.fft.rfft(folded).imag)


def over_a_third(values: Real, hertz: Real) -> Real:
    """The mean over a third of an octave about each line, along the last axis."""
    sums = np.concatenate([np.zeros((*values.shape[:-1], 1)), np.cumsum(values, axis=-1)], axis=-1)
    last = len(hertz)
    low = np.clip((hertz / _SIXTH / hertz[1]).astype(int), 0, last - 1)
    high = np.clip((hertz * _SIXTH / hertz[1]).astype(int) + 1, 1, last)
    return np.asarray((sums[..., high] - sums[..., low]) / np.maximum(1, high - low))
