"""The colours in the stylesheet, measured. Outside source: WCAG 2.2, relative luminance and
contrast ratio as defined there, with criteria 1.4.3 (text, 4.5), 1.4.6 (text, 7, for a stage in the
sun) and 1.4.11 (controls, 3)."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest

import core

STATIC = Path(core.__file__).parent / "static" / "core"
DESIGN = Path(core.__file__).parents[1] / "docs" / "design-language.md"
SHEET = (STATIC / "css" / "toneledger.css").read_text()
TEXTS = ("ink", "soft", "faint", "accent", "ok", "warn", "bad")
GROUNDS = ("ground", "surface", "raised")


def tokens(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


def block_after(selector: str) -> str:
    return SHEET.split(selector, 1)[1].split("}", 1)[0]


DARK = tokens(block_after(":root {"))
LIGHT = tokens(block_after(':root[data-theme="light"] {'))
THEMES = pytest.mark.parametrize("theme", [DARK, LIGHT], ids=["dark", "light"])
# Light is for daylight, which takes contrast away; dark, for eyes used to the dark, keeps AA.
TEXT_RATIOS = pytest.mark.parametrize(
    ("theme", "least"), [(DARK, 4.5), (LIGHT, 7)], ids=["dark", "light"]
)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_measure_itself() -> None:
    # WCAG 2.2: black on white is 21:1. #767676 on white as 4.54:1 is W3C's worked example in
    # the techniques for 1.4.3 (value from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@TEXT_RATIOS
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
def test_text_can_be_read_on_every_ground(
    theme: dict[str, str], least: float, text: str, ground: str
) -> None:
    assert contrast(theme[text], theme[ground]) >= least


@TEXT_RATIOS
@pytest.mark.parametrize("tone", ["accent", "ok", "warn", "bad"])
def test_tinted_boxes_can_be_read(theme: dict[str, str], least: float, tone: str) -> None:
    for text in (tone, "accent", "ink", "soft", "faint"):
        assert contrast(theme[text], theme[f"{tone}-tint"]) >= least, text


@TEXT_RATIOS
def test_buttons_can_be_read(theme: dict[str, str], least: float) -> None:
    assert contrast(theme["on-accent"], theme["accent"]) >= least
    assert contrast(theme["ground"], theme["ink"]) >= least  # under the pointer


@THEMES
def test_controls_can_be_seen(theme: dict[str, str]) -> None:
    for ground in GROUNDS:
        assert contrast(theme["edge"], theme[ground]) >= 3, ground


def test_the_device_choice_has_the_same_light_colours() -> None:
    assert tokens(block_after(':root[data-theme="auto"] {')) == LIGHT
    assert LIGHT.keys() == DARK.keys()


def test_print_overrides_every_colour() -> None:
    printed = (STATIC / "css" / "print.css").read_text()
    assert set(re.findall(r"--([a-z-]+): #", printed)) == DARK.keys()


def test_styles_stay_small_and_fetch_nothing_from_elsewhere() -> None:
    sheets = [path.read_bytes() for path in sorted((STATIC / "css").glob("*.css"))]
    assert sum(len(gzip.compress(sheet)) for sheet in sheets) < 15_000
    assert not any(b"http" in sheet or b"@import" in sheet for sheet in sheets)


@pytest.mark.parametrize("token", [*TEXTS, "edge"])
def test_the_documented_ratios_are_the_measured_ones(token: str) -> None:
    dark, light = (
        f"{theme[token]} | {min(contrast(theme[token], theme[on]) for on in GROUNDS):.1f}"
        for theme in (DARK, LIGHT)
    )
    assert f"| `--{token}` | {dark} | {light} |" in DESIGN.read_text()
