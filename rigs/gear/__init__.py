"""Kinds of gear: what each is, and the controls, figures and cautions it usually has. Pure.

A kind is an entry of `rigs/gear/kinds.py`. Code that needs to know something about a unit asks
`gear_of(its key)` for a trait and never compares keys.
"""

from __future__ import annotations

from rigs.gear.kind import Family, Gear, Has, Usual
from rigs.gear.kinds import KINDS

__all__ = ["GEAR", "OTHER", "Family", "Gear", "Has", "Usual", "gear_choices", "gear_of"]

GEAR: dict[str, Gear] = {kind.key: kind for kind in KINDS}
OTHER = GEAR["other"]


def gear_of(key: str) -> Gear:
    """The kind with this key; “other” for a key of another version of the program."""
    return GEAR.get(key, OTHER)


def gear_choices() -> list[tuple[str, str]]:
    """The choices of a model field: key and label of each kind of gear.

    A function, because a migration then names it and not its result: a new kind needs none.
    """
    return [(kind.key, kind.label) for kind in GEAR.values()]
