"""The Bessel function that membranes and pistons share."""

from __future__ import annotations

import numpy as np

from rigs.signal._check import Array


def bessel(order: int, x: Array) -> Array:
    """J_m(x) by Bessel's integral; the trapezoid is exact to rounding while x + m < 256."""
    theta = np.linspace(0, np.pi, 257)
    values = np.cos(order * theta - np.multiply.outer(x, np.sin(theta)))
    return np.asarray(np.trapezoid(values, dx=1 / 256, axis=-1))
