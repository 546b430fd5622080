"""The vocabulary of the revision engine: values, snapshots, edits and changes. Pure.

A snapshot maps the id of each live part to its fields; `kind` is one of them and fields at their
default are left out. The rig itself is the part of kind "rig".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeAlias

Value: TypeAlias = "str | int | bool | None"
# As typed or sent; the gateway brings values into their one spelling.
Fields: TypeAlias = "Mapping[str, Any]"
Snapshot: TypeAlias = "dict[str, dict[str, Value]]"

WHOLE = ""  # the `field` of a change that adds or removes a whole part


def same(a: Value, b: Value) -> bool:
    """Whether two values are equal as JSON: Python takes False for 0, JSON does not."""
    return a == b and isinstance(a, bool) == isinstance(b, bool)


class Change(NamedTuple):
    """One field of one part went from `old` to `new`; None stands for "at its default".

    A part that came or went whole has field WHOLE and its fields (or None) as old and new.
    """

    part: str
    kind: str
    field: str
    old: Value | dict[str, Value]
    new: Value | dict[str, Value]


@dataclass(frozen=True, slots=True)
class Add:
    """A new part, or one that comes back after it was retired."""

    part: str
    kind: str
    fields: Fields


@dataclass(frozen=True, slots=True)
class Set:
    """New values for some fields of a part, as somebody typed them."""

    part: str
    kind: str
    fields: Fields


@dataclass(frozen=True, slots=True)
class Retire:
    """A part leaves the rig; history keeps it."""

    part: str
    kind: str


Edit: TypeAlias = "Add | Set | Retire"


@dataclass(frozen=True, slots=True)
class Clash:
    """A field changed on both sides since the base: `typed` here, `now` by somebody else.

    `field` is WHOLE where a whole part is at stake (retired there, edited here, or the reverse).
    """

    part: str
    kind: str
    field: str
    base: Value | dict[str, Value]
    now: Value | dict[str, Value]
    typed: Value | dict[str, Value]
