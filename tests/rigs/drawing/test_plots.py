"""Plots: clean SVG, a text alternative with the numbers, and points where the numbers say."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

import pytest

from rigs.checks.pictures import CombPicture, FilterPicture, PickupPicture, Picture
from rigs.drawing.axes import Axes
from rigs.drawing.plots import draw
from rigs.signal.pickups import PickupCircuit

SVG = "{http://www.w3.org/2000/svg}"
FILTER = FilterPicture(164.814, None, ("E2", 82.407), ("E6", 1318.510))
COMB = CombPicture(0.0014569)
# Set A of the pickup table: ngspice-39, cross-checked with the closed form.
SET_A = PickupCircuit(2.4, 6000, 110e-12, 500e-12, 200e3)
PICKUP = PickupPicture(SET_A, PickupCircuit(2.4, 6000, 110e-12, 300e-12, 1e6), "3 m into 1 MΩ")
PICTURES = {"filter": FILTER, "comb": COMB, "pickup": PICKUP}


def parts(picture: Picture) -> ElementTree.Element:
    return ElementTree.fromstring(draw(picture))  # noqa: S314 - our own drawing


def desc(picture: Picture) -> str:
    return parts(picture).findtext(f"{SVG}desc") or ""


@pytest.mark.parametrize("name", PICTURES)
def test_the_svg_passes_a_strict_policy_and_reads_in_any_theme(name: str) -> None:
    text = draw(PICTURES[name])
    assert not re.search(r"<style|<script|style=|\son\w+=|url\(", text)
    root = parts(PICTURES[name])
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title")
    colours = {e.get(kind) for e in root.iter() for kind in ("fill", "stroke")}
    assert colours <= {None, "none", "currentColor"}


@pytest.mark.parametrize("name", PICTURES)
def test_the_axes_have_units_and_curves_differ_by_their_dash(name: str) -> None:
    root = parts(PICTURES[name])
    words = [e.text or "" for e in root.iter(f"{SVG}text")]
    assert "Hz" in words
    assert any(word.startswith("dB") for word in words)
    dashes = [e.get("stroke-dasharray") for e in root.iter(f"{SVG}polyline")]
    assert len(set(dashes)) == len(dashes)


def test_the_filter_is_told_in_numbers() -> None:
    # An octave below the corner: −12.3045 and −18.1291 dB, computed and checked against scipy.
    assert desc(FILTER).startswith(
        "E2 (82.4 Hz): −12.3 dB at 12 dB/octave, −18.1 dB at 18 dB/octave"
    )


def test_a_low_pass_joins_in() -> None:
    both = FilterPicture(None, 659.255, ("E2", 82.407), ("E6", 1318.510))
    assert "E6 (1319 Hz): −12.3 dB at 12 dB/octave" in desc(both)


def test_the_comb_is_told_in_numbers() -> None:
    # 0.5 m at 343.2 m/s: nulls at 343.20 and 1029.60 Hz, computed.
    assert "First notches: 343 Hz, 1030 Hz, 1716 Hz." in desc(COMB)


def test_an_inverted_path_swaps_notches_and_peaks() -> None:
    # 0.5 m: first peak of the upright comb, now a notch, at 686.40 Hz, computed.
    assert "First notches: 686 Hz" in desc(CombPicture(0.0014569, inverted=True))


def test_paths_closer_than_any_notch_say_so() -> None:
    assert "First notches: none below 20 kHz." in desc(CombPicture(1e-5))


def test_paths_that_arrive_together_have_no_comb() -> None:
    # Two equal paths in step: 20·log10(2) is 6.02 dB at all frequencies, and nothing if opposed.
    together = desc(CombPicture(0.0))
    assert "First notches: none below 20 kHz." in together
    assert together.count("6 dB") == 8
    assert desc(CombPicture(0.0, inverted=True)).count("nothing") == 8


def test_the_pickup_peaks_where_the_simulator_says() -> None:
    points = next(parts(PICKUP).iter(f"{SVG}polyline")).get("points") or ""
    x, _ = min((tuple(map(float, p.split(","))) for p in points.split()), key=lambda at: at[1])
    axes = Axes(50, 20e3, -18, 18, curves=2)
    assert x == pytest.approx(axes.x(4047), abs=2)


def test_words_in_a_plot_are_escaped() -> None:
    sly = PickupPicture(SET_A, SET_A, "<script>")
    assert "<script>" not in draw(sly)
    assert "&lt;script&gt;" in draw(sly)


def test_points_off_the_axes_stay_on_the_edge() -> None:
    axes = Axes(20, 20e3, -24, 6)
    assert axes.y(float("-inf")) == axes.floor
    assert (axes.x(1), axes.x(1e6)) == (axes.x(20), axes.x(20e3))


def test_what_nobody_draws_is_refused() -> None:
    @dataclass
    class Other:
        pass

    with pytest.raises(NotImplementedError, match="no drawing of Other"):
        draw(Other())  # type: ignore[arg-type]
