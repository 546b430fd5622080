"""Delay and polarity from clips beside tape and switches. c = 343.2 m/s at 20 °C (ISO 9613-1),
so 0.2 m are 0.58275 ms, computed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.findings import Finding
from rigs.checks.rules import measured_delay, measured_polarity
from rigs.places import Measurement
from tests.rigs.checks.laying import DI, bench, entry, missing, unit, value

CABINET = unit("Cabinet", "cabinet")
BY_TAPE = 0.2 / 343.2


def of(check: Any, measured: Measurement, mic: dict[str, Any], **di: Any) -> list[Finding]:
    mic = {"distance": 0.2, "reference": "cone", **mic}
    laid = bench(entry("DI", CABINET, DI, **di), entry("Mic", CABINET, **mic))
    return list(check(replace(laid, measured=(measured,))))


def delay(seconds: float, mic: dict[str, Any] | None = None, **more: Any) -> list[Finding]:
    return of(measured_delay.check, Measurement("DI", "Mic", seconds, 1, **more), mic or {})


def test_a_delay_that_the_tape_predicts_is_no_finding() -> None:
    assert delay(BY_TAPE) == []
    assert delay(BY_TAPE + 0.000099) == []


def test_a_delay_that_the_tape_does_not_predict_is_one() -> None:
    (finding,) = delay(0.0021)
    assert finding.title == "DI and Mic: sound and tape measure disagree"
    assert value(finding, "Mic later than DI, measured") == pytest.approx(2.1)
    assert value(finding, "the same by the tape") == pytest.approx(0.58275, abs=1e-5)
    assert value(finding, "disagree by") == pytest.approx(2.1 - 0.58275, abs=1e-5)
    assert value(finding, "distance of Mic") == pytest.approx(200)
    assert "20 °C (assumed)" in finding.assumes[0]


def test_the_other_way_round_it_says_so() -> None:
    (finding,) = delay(-0.0021)
    assert value(finding, "DI later than Mic, measured") == pytest.approx(2.1)
    assert value(finding, "the same by the tape") == pytest.approx(-0.58275, abs=1e-5)


def test_a_long_way_may_differ_by_a_tenth() -> None:
    far = {"distance": 3.432}  # 10 ms
    assert delay(0.01099, far) == []
    assert len(delay(0.01101, far)) == 1


def test_the_air_of_the_recording_counts() -> None:
    # At 0 °C 331.29 m/s: 3.432 m are 10.3596 ms (ISO 9613-1).
    (finding,) = delay(0.02, {"distance": 3.432}, celsius=0.0)
    assert value(finding, "the same by the tape") == pytest.approx(10.3596, abs=0.001)


def test_another_number_is_another_signature_and_the_weather_is_none() -> None:
    first, again, warmer = delay(0.0021), delay(0.0021), delay(0.0021, celsius=30.0)
    other, moved = delay(0.0025), delay(0.0021, {"distance": 0.25})
    assert first[0].signature == again[0].signature == warmer[0].signature
    assert len({each[0].signature for each in (first, other, moved)}) == 3


def test_what_the_tape_cannot_say_is_said() -> None:
    (finding,) = delay(0.0021, {"distance": None})
    assert missing(finding) == "Mic has no measured distance"


def test_two_microphones_need_one_point() -> None:
    laid = bench(
        entry("Top", CABINET, distance=0.05, reference="batter head"),
        entry("Bottom", CABINET, distance=0.05, reference="snare head"),
    )
    laid = replace(laid, measured=(Measurement("Top", "Bottom", 0.001, 1),))
    (finding,) = measured_delay.check(laid)
    assert "different points" in missing(finding)


def test_what_was_moved_since_must_be_recorded_again() -> None:
    (finding,) = delay(0.0021, moved_in=7)
    assert "since change 7" in missing(finding)
    after = Measurement("DI", "Mic", 0.0021, -1, moved_in=7)
    assert of(measured_polarity.check, after, {}) == []


def test_a_delay_of_the_desk_in_the_clips_is_not_set_beside_the_tape() -> None:
    behind = Measurement("DI", "Mic", 0.0, 1, through_desk=True)
    assert of(measured_delay.check, behind, {}, notes="delay 0.58 ms") == []
    assert of(measured_delay.check, behind, {}, delay=0.00058) == []
    assert len(of(measured_delay.check, behind, {})) == 1


@pytest.mark.parametrize(
    ("polarity", "di", "mic", "fires"),
    [
        (1, False, False, False),
        (-1, False, False, True),
        (-1, False, True, False),
        (-1, True, False, False),
        (-1, True, True, True),
        (1, False, True, True),
    ],
)
def test_polarity_is_that_of_the_sources_turned_by_each_switch(
    polarity: int, di: bool, mic: bool, fires: bool
) -> None:
    found = of(
        measured_polarity.check,
        Measurement("DI", "Mic", 0.001, polarity),
        {"reversed_polarity": mic},
        reversed_polarity=di,
    )
    assert bool(found) is fires
    if fires:
        assert found[0].mend.startswith(
            f"Set the polarity of Mic to {'normal' if mic else 'reversed'}"
        )


def test_inputs_that_are_gone_are_left_out() -> None:
    lost = Measurement("DI", "Gone", 0.0021, -1)
    assert of(measured_delay.check, lost, {}) == []
    assert of(measured_polarity.check, lost, {}) == []
