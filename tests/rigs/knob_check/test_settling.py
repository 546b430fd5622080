"""Where caps are together, when each knows its place in one direction alone; against a pinhole
camera that shares no formula with the reader."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rigs.knob_check.fitting import Fitted
from rigs.knob_check.found import Circle
from rigs.knob_check.parallax import Evidence, Vote, rise_of
from rigs.knob_check.placing import Search
from rigs.knob_check.refining import Fit, Template
from rigs.knob_check.settling import settled
from tests.rigs.knob_check.test_parallax import DISTANCE, FIRST, HEIGHT, WIDTH, registered
from tests.support.panels.camera import Camera

SECOND = Camera((108.0, 46.0), 380.0, FIRST.focal, 25.0, -12.0, 4.0)
HIGH, RADIUS = 13.0, 9.0  # mm
PIXELS = RADIUS * FIRST.focal / DISTANCE
CAPS = [(20.0 + 32 * i, y) for i in range(6) for y in (25.0, 75.0)]  # mm


def fitted(flat: np.ndarray, alone: np.ndarray, known: np.ndarray, alike: float) -> Fitted:
    slope = np.eye(2) * PIXELS
    circle = Circle(0.0, 0.0, PIXELS)
    nothing = np.zeros(2)
    search = Search(
        circle, flat, flat, slope, np.zeros((1, 1), np.float32), 0, np.linalg.inv(slope), slope,
        nothing, nothing, nothing,
    )  # fmt: skip
    fits = [
        Fit(turn, alone, np.array([by]), 1.0, 2.0, alone, known)
        for turn, by in ((10.0, alike), (100.0, 0.3))
    ]
    template = Template(nothing, nothing, nothing > 1, nothing, 0.0, nothing)
    return Fitted(search, fits, True, template)


@pytest.mark.parametrize("too_high", [1.0, 1.15])
def test_caps_that_know_their_place_in_one_direction_find_it_together(too_high: float) -> None:
    registration = registered(SECOND)
    rise = rise_of(registration, (HEIGHT, WIDTH), (HEIGHT, WIDTH))
    first = np.array([FIRST.sees(x, y, HIGH) for x, y in CAPS])
    true = np.array([SECOND.sees(x, y, HIGH) for x, y in CAPS])
    flats = registration.to_photo(first)
    fits, start = [], []
    high = HIGH * FIRST.focal / DISTANCE * too_high
    for i, (at, flat, seen) in enumerate(zip(first, flats, true, strict=True)):
        # As a dot at a turn of its own: how far along is known, how far across is not.
        way = math.radians(40 * i)
        along, across = (
            np.array([math.sin(way), math.cos(way)]),
            np.array([math.cos(way), -math.sin(way)]),
        )
        known = np.outer(along, along) / 1.0**2 + np.outer(across, across) / 200.0**2
        fits.append(fitted(flat, seen + 12.0 * across, known, 0.95))
        start.append(rise.shifts(at[None], np.array([high]), np.zeros((1, 3)))[0, 0, 0])
    # One that is hidden says what is wrong, and is not alike.
    fits[3] = fitted(flats[3], true[3] + 30.0, np.eye(2), 0.4)
    evidence = [
        Evidence(at, 0, np.zeros((3, 3), np.float32), np.zeros(2), np.eye(2)) for at in first
    ]
    vote, within, strain = settled(
        rise, evidence, fits, Vote(start, [high] * len(CAPS), np.zeros(3), 0.0)
    )
    off = np.hypot(*(flats + np.array(vote.shifts) - true).T)
    assert off.max() < 0.03 * PIXELS
    assert max(within) < 0.05
    assert max(strain) < 1.5
    # One of another make, which stands higher and knows its place, is under strain.
    x, y = CAPS[5]
    higher = np.array(SECOND.sees(x, y, HIGH + 4.0))
    at = np.array([FIRST.sees(x, y, HIGH + 4.0)])
    evidence[5] = Evidence(at[0], 0, np.zeros((3, 3), np.float32), np.zeros(2), np.eye(2))
    fits[5] = fitted(registration.to_photo(at)[0], higher, np.eye(2), 0.95)
    _, _, strain = settled(rise, evidence, fits, Vote(start, [high] * len(CAPS), np.zeros(3), 0.0))
    assert int(np.argmax(strain)) == 5
    assert strain[5] > 1.6
