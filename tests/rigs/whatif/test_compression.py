"""A compressed path, a dry path and their blend."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal.dynamics import Compressor
from rigs.whatif.compression import Blend, answer, levels

EQUAL = Blend(0, 0)

# Closed form; the soft knee after Giannoulis, Massberg and Reiss, JAES 60 (2012), from memory:
# dB in, threshold, ratio, knee, dB out.
CURVE = [
    (-30, -20, 4, 0, -30.0), (-20, -20, 4, 0, -20.0), (-10, -20, 4, 0, -17.5),
    (0, -20, 4, 0, -15.0), (0, -20, 2, 0, -10.0), (-23, -20, 4, 6, -23.0),
    (-20, -20, 4, 6, -20.5625), (-17, -20, 4, 6, -19.25), (-18, -20, 4, 6, -19.5625),
    (-10, -20, 4, 6, -17.5),
]  # fmt: skip
# Dry 0 dB and a compressed path at so many dB, in phase: 20 log10(1 + 10^(w/20)), closed form.
BLENDS = [(0, 6.0206), (-6, 3.5287), (-12, 1.9465)]


@pytest.mark.parametrize(("into", "threshold", "ratio", "knee", "out"), CURVE)
def test_compressed_path(into: float, threshold: float, ratio: float, knee: float, out: float):
    found = levels(into, Compressor(threshold, ratio, knee), Blend(0, -3))
    assert found.compressed == pytest.approx(out - 3, abs=1e-4)
    assert found.dry == into


@pytest.mark.parametrize(("wet", "lift"), BLENDS)
def test_below_the_threshold_the_blend_is_a_plain_sum(wet: float, lift: float) -> None:
    found = levels(-40, Compressor(-20, 4), Blend(0, wet))
    assert found.blend + 40 == pytest.approx(lift, abs=1e-4)


def test_rows_tell_both_paths_and_what_the_blend_lifts() -> None:
    (table,) = answer(Compressor(-20, 4), EQUAL).tables
    rows = {row[0]: row[1:] for row in table.rows}
    # −15 dB against 0 dB: 20 log10(1 + 10^(−15/20)) = 1.4216 dB, by hand.
    assert rows["0.0"] == ("−15.0", "0.0", "1.4", "+1.4")
    assert rows["−40.0"] == ("−40.0", "−40.0", "−34.0", "+6.0")
    assert table.caption == "Levels in dB: what comes in, and what comes out"
    assert table.columns == ("In", "Compressed path", "Dry path", "Blend", "Blend against in")


def test_a_threshold_between_the_tens_has_a_row_of_its_own() -> None:
    (table,) = answer(Compressor(-18, 4), EQUAL).tables
    shown = [row[0] for row in table.rows]
    assert shown[:4] == ["0.0", "−10.0", "−18.0", "−20.0"]


def test_a_threshold_above_0_db_is_told_on_both_sides() -> None:
    (table,) = answer(Compressor(14, 4), EQUAL).tables
    assert (table.rows[0][0], table.rows[-1][0]) == ("30.0", "−30.0")


def test_words_compare_what_each_path_leaves_of_the_dynamics() -> None:
    # Compressed −40 → −15 dB is 25 dB; blend −33.98 → 1.42 dB is 35.4 dB, by hand.
    assert answer(Compressor(-20, 4), EQUAL).words == (
        "Between −40 dB and 0 dB coming in, 40 dB apart, the compressed path moves by 25.0 dB "
        "and the blend by 35.4 dB."
    )


def test_the_plot_says_its_numbers_and_keeps_to_the_security_policy() -> None:
    drawing = answer(Compressor(-20, 4, 6, 3), Blend(0, -6)).drawing
    assert not re.search(r"<style|<script|style=|\son\w+=|url\(", drawing)
    root = ElementTree.fromstring(drawing)  # noqa: S314 - our own drawing
    lines = [e for e in root.iter() if e.tag.endswith("polyline")]
    assert len({e.get("stroke-dasharray") for e in lines}) == 3
    # −20.5625 at the threshold of a 6 dB knee, + 3 − 6 dB.
    assert "−20.0 dB in: compressed −23.6 dB, dry −20.0 dB" in "".join(root.itertext())
    assert "dB in" in [e.text for e in root.iter()]


def test_the_plot_draws_levels_where_the_axis_says() -> None:
    root = ElementTree.fromstring(answer(Compressor(-20, 4), Blend(0, -60)).drawing)  # noqa: S314
    dry = [e for e in root.iter() if e.tag.endswith("polyline")][2]
    points = [tuple(map(float, p.split(","))) for p in str(dry.get("points")).split()]
    (x0, y0), (xm, ym), (x1, y1) = points[0], points[len(points) // 2], points[-1]
    assert (xm - x0, ym - y0) == pytest.approx(((x1 - x0) / 2, (y1 - y0) / 2), abs=0.2)


@given(st.floats(-60, 30), st.floats(1, 1000), st.floats(0, 60), st.floats(-60, 20))
def test_every_question_of_the_form_has_an_answer(
    threshold: float, ratio: float, knee: float, wet: float
) -> None:
    told = answer(Compressor(threshold, ratio, knee), Blend(0, wet))
    for row in told.tables[0].rows:
        assert not row[4].startswith("−"), row
