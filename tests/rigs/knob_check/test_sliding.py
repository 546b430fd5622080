"""Faders and switches read from two photos of a drawn panel. How well in general:
tests/bench/knobs/sliders.
"""

from __future__ import annotations

from functools import cache

import pytest

from rigs.knob_check.doubt import Reason
from rigs.knob_check.reading import PanelReading, read_panel
from rigs.knob_check.sliding import Slot, Switch
from tests.rigs.knob_check import pictures
from tests.rigs.knob_check.pictures import SIZE
from tests.support.panels.sliders import Slider

DARK, LIGHT = (0.07, 0.07, 0.08), (0.92, 0.92, 0.9)
SLIDERS = (
    Slider("fader", (150, 70), (150, 15), 11, 9, 7, DARK, LIGHT),
    Slider("fader", (170, 70), (170, 15), 11, 9, 7, DARK, LIGHT),
    Slider("slide switch", (188, 40), (188, 34), 3.2, 4.5, 3, DARK, LIGHT, 2),
)
BEFORE, AFTER = (0.2, 0.7, 0.0), (0.6, 0.7, 1.0)


@cache
def read(off: float) -> PanelReading:
    before = pictures.photo(turns=(0.0, 40.0), places=BEFORE, sliders=SLIDERS)
    after = pictures.photo(turns=(0.0, 40.0), places=AFTER, sliders=SLIDERS, off=off)
    view = pictures.view(0.0)

    def at(slider: Slider, place: float, height: float) -> tuple[float, float]:
        x, y = view.sees(*slider.at(place), height)
        return x / SIZE[0], y / SIZE[1]

    with pictures.small():
        slots = [Slot(*at(s, 0, 0), *at(s, 1, 0)) for s in SLIDERS[:2]]
        tip = SLIDERS[2].height
        switch = Switch((at(SLIDERS[2], 0, tip), at(SLIDERS[2], 1, tip)), 0)
    return read_panel(before.jpeg, after.jpeg, slots=slots, switches=[switch])


def test_a_fader_is_told_by_the_place_of_its_cap() -> None:
    slots = read(8.0).slots
    assert [slot.reason for slot in slots] == [None, None]
    assert [slot.now for slot in slots] == pytest.approx([0.6, 0.7], abs=0.03)
    assert [slot.before for slot in slots] == pytest.approx([0.2, 0.7], abs=0.05)


def test_a_switch_is_told_by_its_position() -> None:
    assert read(8.0).switches[0].position == 1


def test_another_panel_is_said_to_be_one_and_tells_nothing() -> None:
    before = pictures.photo(turns=(0.0, 40.0), places=BEFORE, sliders=SLIDERS)
    other = pictures.photo(turns=pictures.BEFORE, seed=11, pitch=30.0)
    slot, switch = Slot(0.7, 0.6, 0.7, 0.3), Switch(((0.8, 0.4), (0.8, 0.5)), 0)
    told = read_panel(before.jpeg, other.jpeg, pictures.circles(before), [slot], [switch])
    assert [(each.turn, each.reason) for each in told.turns] == [(None, Reason.OTHER_PANEL)] * 2
    assert (told.slots[0].now, told.slots[0].reason) == (None, Reason.OTHER_PANEL)
    assert (told.switches[0].position, told.switches[0].reason) == (None, Reason.OTHER_PANEL)
