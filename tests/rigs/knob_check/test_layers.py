"""The mix of colours in which two photos are compared. Values: arithmetic."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from rigs.knob_check.layers import layers_of
from rigs.knob_check.registration import Lens, Registration

SIZE = 256
CAP = (128.0, 128.0, 40.0)
PANEL, RED = (120, 120, 120), (60, 60, 240)  # blue, green, red: one sum
PLACES = np.array([[30.0, 30.0], [220.0, 30.0], [30.0, 220.0], [220.0, 220.0]])


def flat() -> Registration:
    middle = np.array([SIZE / 2, SIZE / 2])
    lens = Lens(0.0, middle, float(np.hypot(*middle)))
    return Registration(np.eye(3), lens, np.zeros((6, 2)), middle, SIZE / 2, PLACES)


def panel(noise: float = 0.0, part: float = 1.0, floor: float = 0.0) -> NDArray[np.uint8]:
    y, x = np.mgrid[0:SIZE, 0:SIZE]
    out = np.empty((SIZE, SIZE, 3))
    out[:] = PANEL
    out[np.hypot(x - CAP[0], y - CAP[1]) < CAP[2]] = RED
    out = out * part + floor + np.random.default_rng(2).normal(0, 1, out.shape) * noise
    return np.clip(out, 0, 255).astype(np.uint8)


def test_a_red_cap_stands_out_from_a_panel_that_is_as_bright() -> None:
    before, _ = layers_of(panel(1.0), panel(1.0), flat(), [CAP])
    assert abs(float(before.grey[128, 128]) - float(before.grey[20, 20])) > 40


def test_a_dark_photo_gets_the_tone_of_the_reference() -> None:
    before, after = layers_of(panel(1.0), panel(1.0, part=0.3), flat(), [CAP])
    here, there = (each.patch(CAP[:2], np.eye(2) * CAP[2], 10, 15) for each in (before, after))
    assert float(np.abs(here - there).mean()) == pytest.approx(0, abs=0.08)


def test_noise_of_a_dark_photo_is_not_made_larger_than_what_is_there() -> None:
    _, quiet = layers_of(panel(1.0), panel(1.0, part=0.2), flat(), [CAP])
    _, loud = layers_of(panel(1.0), panel(15.0, part=0.2), flat(), [CAP])
    # Both in the tone of the reference; the logarithm of noise alone would scatter by 1.
    patches = [each.patch((40.0, 40.0), np.eye(2) * 20, 10, 10) for each in (quiet, loud)]
    assert float(patches[0].std()) < 0.1
    assert float(patches[1].std()) < 0.35
