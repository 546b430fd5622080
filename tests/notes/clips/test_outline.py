"""The outline of a sound: the same in whatever blocks it comes, and small however long it is."""

from __future__ import annotations

import numpy as np
import pytest

from notes.clips.survey import PeakOutline

pytestmark = pytest.mark.any_database


def held(outline: PeakOutline) -> int:
    """Bytes of all arrays that it keeps."""
    return sum(each.nbytes for each in vars(outline).values() if isinstance(each, np.ndarray))


@pytest.mark.parametrize("block", [1, 100, 255, 256, 257, 4_000])
def test_it_does_not_depend_on_the_blocks(block: int) -> None:
    sound = np.abs(np.random.default_rng(4).normal(0, 1, (20_000, 2))).astype(np.float32)
    outline = PeakOutline(2)
    for at in range(0, len(sound), block):
        outline.add(sound[at : at + block])
    # Stretches of 256, of which the last is not whole.
    expected = [sound[at : at + 256].max(axis=0) for at in range(0, len(sound), 256)]
    assert np.array_equal(outline.result(), np.array(expected))


def test_it_keeps_no_samples() -> None:
    """Four million frames of eight channels would be 128 MB, a stretch of them 0.5 MB."""
    outline, block = PeakOutline(8), np.ones((50_000, 8), np.float32)
    for _ in range(80):
        outline.add(block)
    assert held(outline) <= (400 + 1) * 8 * 4
