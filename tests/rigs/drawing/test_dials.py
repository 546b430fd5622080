"""Drawn controls: where the pointer stands, what is marked, what is said in words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Add, Set
from rigs.drawing import dials
from rigs.revisions.read import as_of, live
from rigs.wording import snapshot_view
from tests.support.views import control, unit
from tests.support.world import World

SVG = "{http://www.w3.org/2000/svg}"


def tree(drawing: str) -> ET.Element:
    return ET.fromstring(drawing)  # noqa: S314 - our own drawing


def pointer(drawing: str, kind: str = "dial-pointer") -> tuple[float, float, float, float]:
    (line,) = (e for e in tree(drawing).iter(f"{SVG}line") if e.get("class") == kind)
    x1, y1, x2, y2 = (float(line.get(name, "")) for name in ("x1", "y1", "x2", "y2"))
    return x1, y1, x2, y2


# By hand: the hour hand moves 30° an hour and half a degree a minute; a dial from 0 to 10 sweeps
# 300°, from −150°. The tip lies 17 from the middle (36, 36): x = 36 + 17 sin, y = 36 − 17 cos.
@pytest.mark.parametrize(
    ("style", "setting", "scale", "x", "y"),
    [
        ("clock", "12:00", (None, None), 36.0, 19.0),  # 0°
        ("clock", "3:00", (None, None), 53.0, 36.0),  # 90°
        ("clock", "2:30", (None, None), 52.42, 31.60),  # 75°: sin 0.9659, cos 0.2588
        ("clock", "7:00", (None, None), 27.5, 50.72),  # −150°: sin −0.5, cos −0.8660
        ("clock", "5:00", (None, None), 44.5, 50.72),  # 150°
        ("dial", "5", (None, None), 36.0, 19.0),  # the middle of 0 to 10: 0°
        ("dial", "6.5", (None, None), 48.02, 23.98),  # −150 + 300 · 0.65 = 45°: 17 · 0.7071
        ("dial", "0", ("-12", "12"), 36.0, 19.0),  # the middle of −12 to 12
        ("dial", "-6", ("-12", "12"), 19.58, 31.60),  # −150 + 300 · 0.25 = −75°
    ],
)
def test_a_pointer_stands_where_the_hand_computed_angle_says(
    world: World, style: str, setting: str, scale: tuple[Any, Any], x: float, y: float
) -> None:
    low, high = (None if end is None else Decimal(end) for end in scale)
    world.record(
        Set(
            str(world.control.pk),
            "control",
            {"style": style, "setting": setting, "low": low, "high": high},
        )
    )
    (drawn,) = snapshot_view(world.rig, live(world.rig)).units[0].controls
    assert pointer(dials.dial(drawn))[2:] == (
        pytest.approx(x, abs=0.01),
        pytest.approx(y, abs=0.01),
    )


def test_a_dial_without_setting_has_no_pointer_and_says_so() -> None:
    drawing = dials.dial(control(setting=""))
    assert "dial-pointer" not in drawing
    assert tree(drawing).findtext(f"{SVG}title") == "Gain: not set"


def test_a_changed_dial_has_a_ghost_a_mark_and_words(world: World) -> None:
    world.turn("3:00")
    view = snapshot_view(world.rig, live(world.rig), before=as_of(world.rig, 1))
    (drawn,) = view.units[0].controls
    drawing = dials.dial(drawn)
    # By hand at 26 from the middle, beyond the knob: 36 + 26 · 0.9659, 36 − 26 · 0.2588.
    assert pointer(drawing, "dial-ghost")[2:] == (61.11, 29.27)
    assert pointer(drawing)[2:] == (53, 36)
    assert {"dial-changed", "dial-moved"} <= {e.get("class") for e in tree(drawing).iter()}
    assert tree(drawing).findtext(f"{SVG}title") == "Gain: 3:00 (was 2:30)"


def test_the_ghost_stands_on_the_scale_of_its_time(world: World) -> None:
    pk = str(world.control.pk)
    world.record(Set(pk, "control", {"style": "dial", "setting": "5"}))
    world.record(Set(pk, "control", {"high": Decimal(20)}))
    view = snapshot_view(world.rig, live(world.rig), before=as_of(world.rig, 2))
    (drawn,) = view.units[0].controls
    # 5 of 10 was straight up (0°); 5 of 20 is −150 + 300 / 4 = −75°.
    assert (drawn.was_angle, drawn.angle) == (0.0, -75.0)


def test_a_new_control_is_marked_without_a_ghost(world: World) -> None:
    world.record(
        Add(
            str(uuid4()),
            "control",
            {"unit": str(world.unit.pk), "name": "Bass", "setting": "1:00", "position": 2},
        )
    )
    view = snapshot_view(world.rig, live(world.rig), before=as_of(world.rig, 1))
    drawing = dials.dial(view.units[0].controls[1])
    assert "dial-changed" in drawing
    assert "dial-ghost" not in drawing
    assert "Bass: 1:00 (new)" in drawing


@pytest.mark.parametrize(("setting", "y"), [("slow", "60"), ("stop", "36"), ("fast", "12")])
def test_a_switch_has_a_place_for_each_choice_the_first_at_the_bottom(setting: str, y: str) -> None:
    drawing = dials.dial(control("Speed", "switch", setting, choices=("slow", "stop", "fast")))
    (cap,) = (e for e in tree(drawing).iter() if e.get("class") == "dial-cap")
    assert cap.get("cy") == y


def test_a_switch_shows_where_it_stood() -> None:
    drawing = dials.dial(
        control(
            "On", "switch", "on", choices=("off", "on"), changed=True, was="off", was_text="off"
        )
    )
    (ghost,) = (e for e in tree(drawing).iter() if e.get("class") == "dial-ghost")
    assert ghost.get("cy") == "60"


def test_a_long_value_is_shortened_in_the_window_and_whole_in_the_words() -> None:
    drawing = dials.dial(control("Program", "text", "Bank 12, second drawbars out"))
    said = [e.text for e in tree(drawing).iter(f"{SVG}text")]
    assert said == ["Bank 12,", "second d…"]
    assert tree(drawing).findtext(f"{SVG}title") == "Program: Bank 12, second drawbars out"


def test_a_row_names_every_control_and_describes_itself() -> None:
    controls = tuple(control(f"Knob {n}", setting="1:00", angle=30.0) for n in range(7))
    root = tree(dials.row(unit("Head", controls=controls), per_row=4))
    assert root.get("viewBox") == "0 0 384 244"
    assert root.findtext(f"{SVG}title") == "Controls of Head"
    assert "Knob 6: 1:00" in (root.findtext(f"{SVG}desc") or "")


def test_a_decoration_is_hidden_from_screen_readers() -> None:
    root = tree(dials.dial(control(setting="1:00", angle=30.0), decoration=True))
    assert (root.get("aria-hidden"), root.get("role")) == ("true", None)


@given(st.text(max_size=40), st.text(max_size=40))
def test_whatever_is_typed_the_drawing_is_sound_and_has_no_style_or_script(
    name: str, setting: str
) -> None:
    drawing = dials.dial(control(name, "text", setting))
    assert tree(drawing).tag == f"{SVG}svg"
    assert not re.search(r"<script|\sstyle=|\son\w+=", re.sub(r'"[^"]*"|>[^<]*<', '""', drawing))


def test_what_a_control_was_when_signed_is_written_below_it() -> None:
    moved = control(
        setting="4:00",
        changed=True,
        was="2:30",
        was_text="2:30",
        angle=120.0,
        was_angle=75.0,
        since_signed=True,
    )
    drawn = dials.row(unit("Head", controls=(moved,)))
    assert "was 2:30</text>" in drawn
    assert "Gain: 4:00 (was 2:30 when signed)" in drawn
