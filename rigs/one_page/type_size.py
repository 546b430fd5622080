"""About the size of type in which a page will be full. Only what is drawn first depends on it:
typ/one_page.typ finds the size that fits."""

from __future__ import annotations

from math import ceil, sqrt

# The square of the size of type, in points, times the lines of it that fill a page; measured on
# sheets that were made.
FILLED = 7400


def size_for(lines: float) -> float:
    """Points for so many lines across the page, those of two columns counted half."""
    return round(sqrt(FILLED / lines), 2)


def rows(text: str, letters: int) -> int:
    return ceil(len(text) / letters)
