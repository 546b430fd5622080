"""Inputs that their names make a pair: left and right, top and bottom. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations
from typing import Protocol, TypeVar

SIDES = {"left": 0, "l": 0, "right": 1, "r": 1}
FACES = {
    "top": 0,
    "bottom": 1,
    "over": 0,
    "under": 1,
    "upper": 0,
    "lower": 1,
    "front": 0,
    "rear": 1,
    "back": 1,
}


class HasName(Protocol):
    @property
    def name(self) -> str: ...


N = TypeVar("N", bound=HasName)


def pairs(inputs: Iterable[N], words: Mapping[str, int]) -> Iterator[tuple[N, N]]:
    """Pairs of inputs whose names differ by one opposite word: “Overhead L” and “Overhead R”."""
    read = [(entry, _read(entry.name, words)) for entry in inputs]
    for (one, first), (other, second) in combinations(read, 2):
        if first and second and first[1] == second[1] and {first[0], second[0]} == {0, 1}:
            yield (one, other) if first[0] == 0 else (other, one)


def _read(name: str, words: Mapping[str, int]) -> tuple[int, tuple[str, ...]] | None:
    """Which of two opposite words is in a name, and the rest of it; None if none or several are."""
    parts = re.findall(r"\w+", name.casefold())
    at = [place for place, part in enumerate(parts) if part in words]
    # With two such words (“left top”) nothing says which of them the pair differs by.
    if len(at) != 1:
        return None
    return words[parts[at[0]]], tuple(parts[: at[0]] + parts[at[0] + 1 :])
