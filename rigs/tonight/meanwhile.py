"""What two people say of one unit at one show, brought together field by field. Pure.

Three states: what a page showed, what was typed there, and what is there now. What only one of the
two touched is taken over; what both set differently is for a person to choose.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

# By field: its value, or of a control of what came its setting, how it is read, what it offers.
Said = dict[str, tuple[str, ...]]
TYPED, NOW = "typed", "now"


class Contested(NamedTuple):
    """A field that two people set, ready for core/_conflict.html."""

    key: str
    name: str  # of its radio buttons
    label: str
    typed: str
    now: str
    who: str
    at: datetime | None = None
    chosen: str = ""


def merged(shown: Said, mine: Said, now: Said) -> tuple[Said, list[str]]:
    """What both made of it, and the keys at which both said something else: there mine stands."""
    result: Said = {}
    contested = []
    for key in dict.fromkeys([*now, *mine]):
        was, typed, there = (each.get(key, ()) for each in (shown, mine, now))
        if typed in (there, was):
            chosen = there
        else:
            chosen = typed
            if there != was:
                contested.append(key)
        if chosen:
            result[key] = chosen
    return result, contested


def written(said: Said) -> str:
    """For a field of a form that is not seen."""
    return json.dumps(said, separators=(",", ":"))


def read(text: str) -> Said:
    """What `written` made; nothing where somebody made it up."""
    try:
        known = json.loads(text or "{}")
    except ValueError:
        return {}
    if not isinstance(known, Mapping):
        return {}
    return {
        str(key): tuple(map(str, value))
        for key, value in known.items()
        if isinstance(value, Sequence) and not isinstance(value, str)
    }
