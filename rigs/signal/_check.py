"""Checks of arguments that all public functions of this package share."""

from __future__ import annotations

from typing import Any, NoReturn, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Q = TypeVar("Q", float, Array)

# 1000 dB is far beyond anything physical, yet 10 ** (1000 / 20) still fits a float.
_DECIBEL_LIMIT = 1000.0


def refuse(name: str, value: object, expected: str) -> NoReturn:
    """Raise the ValueError all these functions share: argument, what it must be, what came."""
    shown = value.item() if isinstance(value, np.generic) else value
    raise ValueError(f"{name} must be {expected}, got {shown!r}")


def plain(value: Any) -> Q:  # type: ignore[type-var]
    """A float for anything without dimensions, the array itself otherwise.

    numpy's functions and powers are typed Any; this hands them back as the type the caller
    promised, which is what the ignored complaint is about.
    """
    return cast(Q, float(value) if np.ndim(value) == 0 else np.asarray(value, dtype=float))


def _numbers(name: str, value: object) -> Array:
    array = np.asarray(value)
    # No bool, which would pass for 0 or 1. Objects may be Decimals or Fractions, which convert.
    if array.dtype.kind not in "iufO":
        refuse(name, value, "a number")
    try:
        return array.astype(float)
    except (TypeError, ValueError, OverflowError):
        refuse(name, value, "a number")


def _require(name: str, value: Q, array: Array, good: Any, expected: str) -> Q:
    if not np.all(good):
        # Of a long array only the first bad element is named in the error.
        offender = value if array.ndim == 0 else array[~np.asarray(good)][0]
        refuse(name, offender, expected)
    return plain(array)


def finite(name: str, value: Q) -> Q:
    """Pass any finite number."""
    array = _numbers(name, value)
    return _require(name, value, array, np.isfinite(array), "a finite number")


def positive(name: str, value: Q) -> Q:
    """Pass finite numbers above 0."""
    array = _numbers(name, value)
    return _require(name, value, array, np.isfinite(array) & (array > 0), "above 0")


def not_negative(name: str, value: Q) -> Q:
    """Pass finite numbers of 0 or more."""
    array = _numbers(name, value)
    return _require(name, value, array, np.isfinite(array) & (array >= 0), "0 or more")


def within(name: str, value: Q, low: float, high: float, unit: str = "") -> Q:
    """Pass numbers from `low` to `high`, both included."""
    array = _numbers(name, value)
    expected = f"from {low:g} to {high:g} {unit}".rstrip()
    return _require(name, value, array, (array >= low) & (array <= high), expected)


def decibels(name: str, value: Q) -> Q:
    """Pass levels and gains that can be turned back into a ratio without overflow."""
    return within(name, value, -_DECIBEL_LIMIT, _DECIBEL_LIMIT, "dB")


def whole(name: str, value: int, low: int, high: int) -> int:
    """Pass one whole number from `low` to `high`."""
    if np.ndim(value):
        refuse(name, value, "one whole number")
    number = within(name, value, low, high)
    # A float such as 2.0 is taken: what numpy computes is seldom an int.
    if number != int(number):
        refuse(name, value, "a whole number")
    return int(number)
