"""Placements in words. One inch is 0.0254 m (NIST SP 811, appendix B.8)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.list_import.placement import read_placement
from rigs.list_import.several import channels, counted, each_of, names_of


@pytest.mark.parametrize(
    ("text", "fields", "rest"),
    [
        ("25mm off grille", {"distance_m": "0.025", "reference_point": "grille"}, ""),
        ('1" off the cloth', {"distance_m": "0.0254", "reference_point": "cloth"}, ""),
        ("1,2 m above the snare", {"height_m": "1.2", "reference_point": "snare"}, ""),
        ("3 cm below rim", {"height_m": "-0.03", "reference_point": "rim"}, ""),
        ("5 cm off cone, 45° off axis", {"distance_m": "0.05", "angle_deg": "45"}, ""),
        (
            "2 cm off edge, warm spot",
            {"distance_m": "0.02", "reference_point": "edge"},
            "warm spot",
        ),
        ("half way in", {}, "half way in"),
        ("7", {}, "7"),
        ("5 cm", {}, "5 cm"),
        ("3 in front of it", {}, "3 in front of it"),
        ("mic 2 off axis", {}, "mic 2 off axis"),
    ],
)
def test_what_is_a_place_is_read_and_the_rest_stays(
    text: str, fields: dict[str, str], rest: str
) -> None:
    read, left = read_placement(text)
    assert (fields.items() <= read.items(), left) == (True, rest)


@given(st.integers(1, 2000), st.sampled_from(["off", "from", "above", "below"]))
def test_any_length_comes_back(mm: int, how: str) -> None:
    read, rest = read_placement(f"{mm}mm {how} grille")
    (key,) = [name for name in read if name.endswith("_m")]
    assert (abs(Decimal(read[key])), rest) == (Decimal(mm) / 1000, "")


@given(st.text(max_size=60))
def test_nothing_is_lost(text: str) -> None:
    """What is not read stays in words, whatever was typed."""
    fields, rest = read_placement(text)
    letters = [c for c in text if c.isalnum()]
    assert fields or [c for c in rest if c.isalnum()] == letters


@pytest.mark.parametrize(
    ("cell", "numbers"),
    [
        ("7", [7]),
        ("#7", [7]),
        ("23/24", [23, 24]),
        ("14+15", [14, 15]),
        ("5-8", [5, 6, 7, 8]),
        ("11 / 12", [11, 12]),
        ("8-5", []),
        ("1-48", []),
        ("3/3", []),
        ("A1", []),
    ],
)
def test_channels(cell: str, numbers: list[int]) -> None:
    assert channels(cell) == numbers


def test_one_row_for_several() -> None:
    assert names_of("OH L/R", 2) == ["OH L", "OH R"]
    assert names_of("Toms 1-3", 3) == ["Tom 1", "Tom 2", "Tom 3"]
    assert names_of("keys st", 2) == ["keys L", "keys R"]
    assert names_of("Kick", 2) == ["Kick 1", "Kick 2"]
    assert each_of("DR 8/9", 2) == ["DR 8", "DR 9"]
    assert each_of("Clip A / Reed B", 2) == ["Clip A", "Reed B"]
    assert each_of("one", 2) is None
    assert [counted(c) for c in ("2x Reed", "DI x2", "pair of Reed", "Reed 9")] == [
        (2, "Reed"),
        (2, "DI"),
        (2, "Reed"),
        (1, "Reed 9"),
    ]
