"""A signed clip and one of tonight with a high-pass that scipy made."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfilt

from notes.models import Clip, SignOff
from notes.signing.services import sign
from tests.support.captures import RATE, make_pair
from tests.support.clips_side_by_side import clip_of
from tests.support.world import World


def guitar(seed: int, seconds: int = 3) -> np.ndarray:
    return 0.3 * make_pair("driven_guitar", seed).first[: seconds * RATE]


def high_passed(sound: np.ndarray, hertz: float = 250) -> np.ndarray:
    return np.asarray(sosfilt(butter(2, hertz, "high", fs=RATE, output="sos"), sound))


def signed_clip(world: World, takes: int = 0) -> tuple[Clip, SignOff]:
    """A clip that the engineer signed, beside `takes` others of the same state."""
    for seed in range(takes):
        clip_of(world, guitar(10 + seed), f"Take {seed}")
    signed = clip_of(world, guitar(1), "Signed")
    world.rig.refresh_from_db()
    made = sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=world.rig.head_number,
        user=world.engineer,
        clip=signed,
    )
    return signed, made


def thin_night(world: World, seed: int = 1, title: str = "Tonight") -> Clip:
    return clip_of(world, high_passed(guitar(seed)), title)
