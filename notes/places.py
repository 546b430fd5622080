"""Where slices of notes show what only slices above them know, as core.places does for apps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from core.hooks import Hook

if TYPE_CHECKING:
    from core.places import Panel
    from notes.models import Clip, SignOff
    from rigs.models import Rig

# The rig, and its signatures that stand; none, where it is not signed yet.
SCATTER: Hook[[Rig, Sequence[SignOff]], Panel] = Hook(
    "what a later comparison with a signed sound will be able to tell"
)
# The clip that a player is asked to sign; None where no clip goes with it. For somebody who holds a
# link, without an account.
CLIP_TO_SIGN: Hook[[Clip | None], Panel] = Hook(
    "what a later comparison with a clip that is to be signed will be able to tell"
)
