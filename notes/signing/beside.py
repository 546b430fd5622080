"""The sound that a player signed last beside the one they are asked to sign, equally loud.

What is louder seems better (common practice of listening tests, no source), so the two are never
offered as loud as they happen to be.
"""

from __future__ import annotations

from notes.comparing.sides import CannotCompare, SideBySide, side_by_side
from notes.models import SignOff, SignRequest

PLACES = ("then", "now")


def both_sounds(asked: SignRequest, before: SignOff | None) -> SideBySide | None:
    """None where there is nothing to compare: no sound on one side, the same one, or two that
    cannot be matched."""
    if asked.clip is None or before is None or before.clip is None or before.clip == asked.clip:
        return None
    try:
        return side_by_side([before.clip, asked.clip])
    except CannotCompare:
        return None
