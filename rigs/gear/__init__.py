"""Kinds of gear: what each is, and the controls, figures and cautions it usually has. Pure.

A kind is an entry of `rigs/gear/kinds.py`. Code that needs to know something about a unit asks
`gear_of(its key)` for a trait and never compares keys.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy

from core.languages.words import in_every_language
from rigs.gear.kind import Family, Gear, Has, Usual
from rigs.gear.kinds import KINDS
from rigs.settings_of_controls import positions_of

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

__all__ = [
    "GEAR",
    "OTHER",
    "Family",
    "Gear",
    "Has",
    "Usual",
    "gear_choices",
    "gear_of",
    "in_english",
]

GEAR: dict[str, Gear] = {kind.key: kind for kind in KINDS}
OTHER = GEAR["other"]


def gear_of(key: str) -> Gear:
    """The kind with this key; “other” for a key of another version of the program."""
    return GEAR.get(key, OTHER)


def in_english(gear: Gear, name: str, setting: str) -> tuple[str, str]:
    """The name of a control and its setting as they are called here, where it is a usual one of
    this kind that somebody took over in their language; anything else as it is written."""
    for usual in gear.usual:
        if name in in_every_language(usual.name):
            return usual.name, _position(usual, setting)
    return name, setting


def _position(usual: Usual, setting: str) -> str:
    here = positions_of(usual.choices)
    for choices in in_every_language(usual.choices) if here else ():
        there = positions_of(choices)
        if len(there) == len(here) and setting in there:
            return here[there.index(setting)]
    return setting


def gear_choices() -> list[tuple[str, StrOrPromise]]:
    """The choices of a model field: key and label of each kind of gear.

    A function, because a migration then names it and not its result: a new kind needs none.
    """
    return [(kind.key, gettext_lazy(kind.label)) for kind in GEAR.values()]
