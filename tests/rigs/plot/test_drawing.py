"""The plot is to scale, and the sides are where the audience sees them.

Checked on the SVG itself, from the outline of the stage that is drawn on it: none of the program's
arithmetic is used. The sides: stage left and right are those of a player who faces the audience
(common practice, no source).
"""

from __future__ import annotations

import re
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.units import Length
from rigs.plot.drawing import stage_plot
from rigs.plot.things import Plan, Size, Spot, StagePlot, Thing, What, plan_through

SVG = "{http://www.w3.org/2000/svg}"


def metres(value: float) -> Length:
    return Length(Decimal(str(value)), "m")


def thing(
    right: float, up: float, what: What = What.PLAYER, name: str = "Ines", **more: object
) -> Thing:
    spot = Spot(metres(right), metres(up))
    return Thing(f"{what.name.lower()}-{name}", what, name, spot, **more)  # type: ignore[arg-type]


def drawn(*things: Thing, width: float = 10, depth: float = 8) -> ElementTree.Element:
    return ElementTree.fromstring(stage_plot(StagePlot(width, depth, True, things=things)))  # noqa: S314


def outline(svg: ElementTree.Element) -> tuple[float, float, float, float]:
    """Left, top, width and height of the stage as drawn."""
    (rect,) = (each for each in svg.iter(f"{SVG}rect") if each.get("class") == "plot-stage")
    x, y, width, height = (float(rect.get(name, "")) for name in ("x", "y", "width", "height"))
    return x, y, width, height


def spot(svg: ElementTree.Element, key: str) -> tuple[float, float]:
    (group,) = (each for each in svg.iter(f"{SVG}g") if each.get("data-thing") == key)
    x, y, *_ = re.findall(r"-?[\d.]+", group.get("transform", ""))
    return float(x), float(y)


SIDE = st.floats(min_value=3, max_value=60).map(lambda value: round(value, 2))
PART = st.floats(min_value=0, max_value=1)


@given(width=SIDE, depth=SIDE, across=PART, back=PART)
@settings(max_examples=60)
def test_a_place_is_drawn_within_half_a_unit(
    width: float, depth: float, across: float, back: float
) -> None:
    right, up = round((across - 0.5) * width, 3), round(back * depth, 3)
    svg = drawn(thing(right, up), width=width, depth=depth)
    left, top, wide, high = outline(svg)
    x, y = spot(svg, "player-Ines")
    # From the sheet back to metres by proportion; half of a drawn unit, in metres.
    close = 0.5 * width / wide
    assert (left + wide / 2 - x) / wide * width == pytest.approx(right, abs=close)
    assert (top + high - y) / high * depth == pytest.approx(up, abs=close)
    assert high / wide == pytest.approx(depth / width, rel=1e-3)
    _, _, sheet_wide, sheet_high = map(float, svg.get("viewBox", "").split())
    assert 0 <= x <= sheet_wide
    assert 0 <= y <= sheet_high


def test_stage_right_is_on_the_left_of_the_sheet_and_the_audience_below() -> None:
    svg = drawn(thing(3, 1, name="Right"), thing(-3, 1, name="Left"), thing(0, 7, name="Back"))
    right, left, back = (spot(svg, f"player-{name}") for name in ("Right", "Left", "Back"))
    assert right[0] < back[0] < left[0]
    assert back[1] < right[1] == left[1]
    words = {(each.text or ""): each for each in svg.iter(f"{SVG}text")}
    half = float(svg.get("viewBox", "").split()[2]) / 2
    assert float(words["← stage right (house left)"].get("x", "")) < half
    assert float(words["stage left (house right) →"].get("x", "")) > half
    audience = next(each for said, each in words.items() if "audience" in said)
    assert float(audience.get("y", "")) > outline(svg)[1] + outline(svg)[3]


def test_a_riser_and_the_scale_are_as_long_as_they_say() -> None:
    size = Size(metres(2.5), metres(2))
    svg = drawn(thing(0, 6, What.RISER, "Drum riser", size=size), width=12, depth=9)
    per_metre = outline(svg)[2] / 12
    (group,) = (each for each in svg.iter(f"{SVG}g") if each.get("data-thing"))
    rect = group.find(f"{SVG}rect")
    assert rect is not None
    assert float(rect.get("width", "")) == pytest.approx(2.5 * per_metre, abs=0.05)
    assert float(rect.get("height", "")) == pytest.approx(2 * per_metre, abs=0.05)
    (bar,) = (each for each in svg.iter(f"{SVG}path") if each.get("class") == "plot-scale")
    long = re.search(r"h([\d.]+)", bar.get("d", ""))
    said = next(e.text for e in svg.iter(f"{SVG}text") if e.text and "grid" in e.text)
    stated = re.match(r"([\d.]+) m", said)
    assert long is not None
    assert stated is not None
    assert float(long[1]) == pytest.approx(float(stated[1]) * per_metre, abs=0.05)


def test_what_stands_over_the_edge_is_drawn_and_told() -> None:
    over = thing(5.4, 2, name="Wide")
    plot = StagePlot(10, 8, True, things=(over,))
    assert plot.problems == ["Wide stands 0.40 m over the edge of this stage."]
    svg = drawn(over)
    left, _, wide, _ = outline(svg)
    x, _ = spot(svg, "player-Wide")
    assert 0 <= x < left
    assert left - x == pytest.approx(0.4 * wide / 10, abs=0.5)


def test_names_do_not_lie_on_each_other() -> None:
    crowd = [thing((n % 7) - 3, 1 + n // 7, name=f"Player {n}") for n in range(28)]
    svg = drawn(*crowd)
    names = [each for each in svg.iter(f"{SVG}text") if each.get("data-of")]
    # A letter is at least 5 units wide: an estimate that is too small finds fewer clashes, never
    # more.
    boxes = [(float(e.get("x", "")), float(e.get("y", "")), 5.0 * len(e.text or "")) for e in names]
    clashes = [
        (a, b)
        for n, a in enumerate(boxes)
        for b in boxes[n + 1 :]
        if abs(a[0] - b[0]) < (a[2] + b[2]) / 2 and abs(a[1] - b[1]) < 9
    ]
    assert len(boxes) == 28
    assert clashes == []


def test_the_legend_stays_on_the_sheet_with_everything_on_stage() -> None:
    kinds = [thing(0, 1, what, "Thing", turns=True, faces=30) for what in What]
    plot = StagePlot(10, 8, True, things=tuple(kinds), runs=(("box-Thing", "box-Thing"),))
    svg = ElementTree.fromstring(stage_plot(plot))  # noqa: S314
    _, _, wide, high = map(float, svg.get("viewBox", "").split())
    words = {e.text or "": e for e in svg.iter(f"{SVG}text") if e.get("class") == "plot-side"}
    assert {"riser", "faces", "run"} <= set(words)
    for said, each in words.items():
        if each.get("text-anchor") == "start":
            # A letter is at least 5 units wide, as below.
            assert float(each.get("x", "")) + 5 * len(said) <= wide
        assert float(each.get("y", "")) < high


def test_names_are_words_and_no_markup() -> None:
    svg = stage_plot(StagePlot(10, 8, True, things=(thing(0, 1, name="<b>&"),)), movable=True)
    assert "<b>" not in svg
    assert "&lt;b&gt;&amp;" in svg


def test_a_kit_is_laid_on_the_stage_through_one_of_its_drums() -> None:
    # The snare is 10 cm right and 0 in front of the zero; it stands 1 m to stage right, 5 m
    # upstage: the zero is at 0.9 m. A kick 45 cm in front of the zero is 45 cm nearer to the
    # audience, so 4.55 m upstage (by hand).
    plan = plan_through(Spot(metres(1), metres(5)), Decimal("0.1"), Decimal(0))
    assert plan == Plan(Decimal("0.9"), Decimal(5))
    assert plan.spot(Decimal(0), Decimal("0.45"), "cm").metres == (0.9, 4.55)
    assert plan.spot(Decimal(0), Decimal("0.4572"), "in").up == Length(Decimal("4.541520"), "ft")
