"""Numbers as a reader sees them."""

from __future__ import annotations

import pytest

from rigs.checks.figures import Figure, length


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (36.708, "Hz", "36.7 Hz"),
        (1716.0, "Hz", "1716 Hz"),
        (-5.06, "dB", "−5.1 dB"),
        (2.9138, "ms", "2.91 ms"),
        (5.3333, "Ω", "5.333 Ω"),
        (float("-inf"), "dB", "complete"),
        ("reversed", "", "reversed"),
        (0.5, "×", "0.5 ×"),
        (20e9, "Ω", "20000000000 Ω"),
    ],
)
def test_a_figure_shows_as_many_places_as_it_deserves(
    value: float | str, unit: str, shown: str
) -> None:
    assert Figure("label", value, unit).shown == shown


def test_a_length_keeps_the_unit_it_was_written_in() -> None:
    assert length("distance", 0.0508, "in").shown == "2 in"
    assert length("distance", 1.02, "m").shown == "1.02 m"
    assert length("distance", 0.035, "mm").shown == "35 mm"
    assert length("distance", 0.035, "furlong").shown == "35 mm"
