"""Checks that every measurement makes of its samples, and decibels."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.floating[Any]]


def as_frames(samples: Samples) -> Samples:
    """Shape (frames, channels), float64. Raises ValueError for other shapes, empty, NaN or inf."""
    array = np.asarray(samples, dtype=np.float64)
    if array.ndim == 1:
        array = array[:, np.newaxis]
    if array.ndim != 2:
        raise ValueError(f"samples must have 1 or 2 dimensions, not {array.ndim}")
    if array.size == 0:
        raise ValueError("there are no samples")
    if not np.isfinite(array).all():
        raise ValueError("the samples hold values that are not numbers")
    return array


def decibels(ratio: float) -> float:
    """20 log10 of an amplitude ratio; −inf for 0."""
    return float(20 * np.log10(ratio)) if ratio > 0 else float("-inf")


def check_rate(rate: float) -> float:
    """A sampling rate in Hz. Raises ValueError outside 8–384 kHz."""
    if not 8_000 <= rate <= 384_000:
        raise ValueError(f"rate must lie between 8000 and 384000 Hz, not {rate}")
    return float(rate)
