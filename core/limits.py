"""Whether a number lies within a limit, whichever way it was rounded on the way there. Pure."""

from __future__ import annotations

import math

# A millionth is far below what anybody measures and far above what sums of floats lose.
_SHARE, _LEAST = 1e-6, 1e-9


def is_at(value: float, limit: float) -> bool:
    """Whether `value` is the limit itself, within a millionth of it (any unit)."""
    return math.isclose(value, limit, rel_tol=_SHARE, abs_tol=_LEAST)


def at_most(value: float, limit: float) -> bool:
    """Whether `value` is below `limit` or at it (any unit)."""
    return value <= limit or is_at(value, limit)


def at_least(value: float, limit: float) -> bool:
    """Whether `value` is above `limit` or at it (any unit)."""
    return value >= limit or is_at(value, limit)
