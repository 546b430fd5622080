"""Shifts of what stands off a panel, against a pinhole camera that shares no formula with them."""

from __future__ import annotations

import numpy as np
import pytest

from rigs.knob_check.parallax import FOCAL, WORST, Evidence, rise_of
from rigs.knob_check.registration import Lens, Registration
from tests.support.panels.camera import SIZE, Camera

WIDTH, HEIGHT = SIZE
MIDDLE = np.array([WIDTH / 2, HEIGHT / 2])
DISTANCE = 400.0  # mm
FIRST = Camera((100.0, 50.0), DISTANCE, FOCAL * WIDTH)


def registered(second: Camera) -> Registration:
    plane = second.at_height(0.0) @ np.linalg.inv(FIRST.at_height(0.0))
    lens = Lens(0.0, MIDDLE, float(np.hypot(*MIDDLE)))
    return Registration(plane, lens, np.zeros((6, 2)), MIDDLE, 1000.0, np.zeros((1, 2)))


@pytest.mark.parametrize(("sideways", "above", "roll"), [(0, 0, 0), (35, 0, 5), (-20, 25, -8)])
def test_a_cap_shifts_as_a_camera_sees_it(sideways: float, above: float, roll: float) -> None:
    second = Camera((110.0, 45.0), 350.0, FOCAL * WIDTH, sideways, above, roll)
    registration = registered(second)
    rise = rise_of(registration, (HEIGHT, WIDTH), (HEIGHT, WIDTH))
    for x, y, height in [(100, 50, 15), (40, 20, 15), (170, 80, 6)]:
        first = np.array([FIRST.sees(x, y, height)])
        true = np.array(second.sees(x, y, height)) - registration.to_photo(first)[0]
        pixels = np.array([height * FOCAL * WIDTH / DISTANCE])
        told = rise.shifts(first, pixels, np.zeros((1, 3)))[0, 0, 0]
        # A pixel of shifts of up to 60: the middle of the picture is where the first camera looks.
        assert told == pytest.approx(true, abs=1.0)


@pytest.mark.parametrize("bend", [-0.07, 0.05])
def test_a_lens_is_undone(bend: float) -> None:
    lens = Lens(bend, MIDDLE, float(np.hypot(*MIDDLE)))
    points = np.array([[10.0, 20.0], [1000.0, 700.0], [1900.0, 1400.0]])
    assert lens.bent(lens.straight(points)) == pytest.approx(points, abs=0.01)
    assert np.hypot(*(lens.straight(points)[0] - points[0])) > 20


def test_what_speaks_against_a_place_is_over_the_best_one() -> None:
    unlike = np.full((9, 9), 0.9, np.float32)
    unlike[4, 4], unlike[4, 7] = -0.5, -0.2
    cap = Evidence(np.zeros(2), 0, unlike, np.array([10.0, 0.0]), 2.0 * np.eye(2))
    # The middle lies at the shift (10, 0), three places of two pixels on at (16, 0).
    told = [cap.against(np.array(shift)) for shift in ((10.0, 0.0), (16.0, 0.0), (10.0, 6.0))]
    assert told == pytest.approx([0.0, 0.3, WORST])
    assert cap.tolerant().against(np.array([12.0, 2.0])) == pytest.approx(0.0)
