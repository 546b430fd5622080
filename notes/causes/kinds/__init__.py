"""The kinds of causes, one file each; ALL is what is asked of every pair of clips."""

from __future__ import annotations

from notes.causes.kind import Kind
from notes.causes.kinds import (
    air,
    angle,
    cable,
    clipping,
    compression,
    device,
    distance,
    gain,
    high_pass,
    low_pass,
    strings,
    top_end,
    tuning,
    two_paths,
)

ALL: tuple[Kind, ...] = (
    gain.KIND,
    distance.KIND,
    high_pass.KIND,
    low_pass.KIND,
    top_end.KIND,
    angle.KIND,
    device.KIND,
    air.KIND,
    two_paths.KIND,
    cable.KIND,
    strings.KIND,
    compression.KIND,
    clipping.KIND,
    tuning.KIND,
)
