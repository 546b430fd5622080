"""How exactly one photo lies on another, against the pinhole camera that took both."""

from __future__ import annotations

import numpy as np
import pytest

from rigs.knob_check.nearing import lie
from rigs.knob_check.reading import grey_of
from rigs.knob_check.registration import Floats, Registration, align
from tests.rigs.knob_check.pictures import AFTER, BEFORE, photo, small, view
from tests.support.panels.draw import Photo

WHOLE = (0.0, 0.0, 880.0, 660.0)
ON_PANEL = [(8.0, 8.0), (195.0, 8.0), (8.0, 80.0), (195.0, 80.0), (101.0, 20.0), (64.0, 70.0)]  # mm


def laid(first: Photo, second: Photo) -> Registration | None:
    spots = [(c.x, c.y, c.radius) for c in first.caps]
    return lie(grey_of(first.jpeg), grey_of(second.jpeg), WHOLE, spots)


def off_px(registration: Registration, off: float) -> Floats:
    """Pixels between where places of the panel are told and where the camera saw them."""
    with small():
        first, second = (
            np.array([view(way).sees(x, y, 0.0) for x, y in ON_PANEL]) for way in (0.0, off)
        )
    return np.asarray(np.hypot(*(registration.to_photo(first) - second).T))


@pytest.mark.parametrize("off", [12.0, 25.0])
def test_all_of_the_panel_lies_to_half_a_pixel_where_features_lie_to_several(off: float) -> None:
    first, second = photo(turns=BEFORE), photo(turns=AFTER, off=off)
    exact = laid(first, second)
    rough = align(grey_of(first.jpeg), grey_of(second.jpeg), WHOLE)
    assert exact is not None
    assert rough is not None
    # A picture is drawn to about half a pixel.
    assert off_px(exact, off).max() < 0.8
    assert off_px(rough, off).max() > 1.5 * off_px(exact, off).max()


def test_a_panel_seen_from_far_aside_is_known_by_how_it_would_look_from_there() -> None:
    first, second = photo(turns=BEFORE), photo(turns=AFTER, off=52.0)
    exact = laid(first, second)
    assert align(grey_of(first.jpeg), grey_of(second.jpeg), WHOLE) is None
    assert exact is not None
    assert off_px(exact, 52.0).max() < 1.5


def test_a_panel_with_the_same_ticks_is_another_one() -> None:
    first, second = photo(turns=BEFORE), photo(turns=BEFORE, seed=11, pitch=30.0)
    assert laid(first, second) is None
