"""Exposure against the formulas and printed tables of the rules themselves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import exposure
from rigs.signal.exposure import NIOSH, OSHA_CONSERVATION, OSHA_LIMIT

LEVELS = st.floats(80, 115)
SEGMENTS = st.lists(st.tuples(LEVELS, st.floats(1, 36000)), min_size=1, max_size=6)
CRITERIA = st.sampled_from([NIOSH, OSHA_LIMIT, OSHA_CONSERVATION])

# dBA, minutes by NIOSH 98-126, hours by the formula of OSHA 29 CFR 1910.95 Table G-16a (both
# seen in public transcriptions).
TABLE = [
    (80, 1523.905, 32.0),
    (82, 960.0, 24.2515),
    (85, 480.0, 16.0),
    (88, 240.0, 10.5561),
    (90, 151.191, 8.0),
    (91, 120.0, 6.9644),
    (92, 95.244, 6.0629),
    (94, 60.0, 4.5948),
    (95, 47.622, 4.0),
    (97, 30.0, 3.0314),
    (100, 15.0, 2.0),
    (102, 9.449, 1.5157),
    (103, 7.5, 1.3195),
    (105, 4.725, 1.0),
    (106, 3.75, 0.8706),
    (110, 1.488, 0.5),
    (115, 0.469, 0.25),
]
# Hours printed in OSHA Table G-16, which rounds the formula.
PRINTED = [(90, 8), (92, 6), (95, 4), (97, 3), (100, 2), (102, 1.5), (105, 1), (110, 0.5)]


@pytest.mark.parametrize(("level", "minutes", "hours"), TABLE)
def test_allowed_time(level: float, minutes: float, hours: float) -> None:
    assert exposure.allowed_seconds(level, NIOSH) / 60 == pytest.approx(minutes, abs=6e-4)
    assert exposure.allowed_seconds(level, OSHA_LIMIT) / 3600 == pytest.approx(hours, abs=6e-5)


@pytest.mark.parametrize(("level", "hours"), [*PRINTED, (115, 0.25)])
def test_printed_table(level: float, hours: float) -> None:
    found = exposure.allowed_seconds(level, OSHA_LIMIT) / 3600
    assert found == pytest.approx(hours, rel=0.011)


def test_niosh_at_115() -> None:
    # 28 s as printed, from memory.
    assert exposure.allowed_seconds(115, NIOSH) == pytest.approx(28, abs=0.5)


def test_no_time_above_the_ceiling() -> None:
    # OSHA: over 115 dBA no continuous exposure.
    assert exposure.allowed_seconds(115.1, OSHA_LIMIT) == 0
    over = exposure.dose([(116, 1)], OSHA_LIMIT)
    assert over.over_ceiling
    assert not exposure.dose([(115, 900)], OSHA_LIMIT).over_ceiling


def test_a_rehearsal_day_by_hand() -> None:
    # NIOSH: 94 dBA allows 1 h, 100 dBA 15 min; half an hour and 15 min make 150 %.
    day = [(94, 1800), (100, 900)]
    assert exposure.dose(day, NIOSH).percent == pytest.approx(150)
    # OSHA: 95 dBA allows 4 h, so 2 h are half; 88 dBA counts only for the programme.
    day = [(95, 7200), (88, 7200)]
    assert exposure.dose(day, OSHA_LIMIT).percent == pytest.approx(50)
    assert exposure.dose(day, OSHA_CONSERVATION).percent == pytest.approx(68.946, abs=0.001)


def test_eight_hour_level() -> None:
    # Directive 2003/10/EC form, closed form: 94 dB for 2 h.
    assert exposure.eight_hour_level(94, 7200) == pytest.approx(87.979, abs=5e-4)
    assert exposure.eight_hour_level(87, 8 * 3600) == 87


def test_equivalent_level_by_hand() -> None:
    # Half the time 10 dB louder: 10 log10(5.5) above the quieter half.
    assert exposure.equivalent_level([(80, 60), (90, 60)]) == pytest.approx(87.4036, abs=1e-4)


@given(level=LEVELS, criterion=CRITERIA)
def test_allowed_time_is_a_full_dose(level, criterion) -> None:
    level = max(level, criterion.threshold)
    time = exposure.allowed_seconds(level, criterion)
    assert exposure.dose([(level, time)], criterion).percent == pytest.approx(100)
    shorter = exposure.allowed_seconds(level - criterion.exchange, criterion)
    assert shorter == pytest.approx(2 * time)


@given(day=SEGMENTS, more=SEGMENTS, criterion=CRITERIA)
def test_doses_add(day, more, criterion) -> None:
    one, two = exposure.dose(day, criterion).percent, exposure.dose(more, criterion).percent
    assert exposure.dose(day + more, criterion).percent == pytest.approx(one + two)


@given(day=SEGMENTS)
def test_equivalent_level_lies_between(day) -> None:
    levels = [level for level, _ in day]
    assert min(levels) - 1e-9 <= exposure.equivalent_level(day) <= max(levels) + 1e-9


def test_vector_equals_scalars() -> None:
    levels = np.array([85.0, 100.0, 116.0])
    many = exposure.allowed_seconds(levels, OSHA_LIMIT)
    assert many.tolist() == [exposure.allowed_seconds(float(x), OSHA_LIMIT) for x in levels]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: exposure.allowed_seconds(-1, NIOSH), "level must be from 0 to 200 dBA, got -1"),
        (
            lambda: exposure.dose([], NIOSH),
            "segments must name at least one level and time, got none",
        ),
        (lambda: exposure.dose([(94, -1)], NIOSH), "seconds must be 0 or more, got -1"),
        (
            lambda: exposure.dose([(float("nan"), 1)], NIOSH),
            "level must be from 0 to 200 dBA, got nan",
        ),
        (lambda: exposure.eight_hour_level(94, 0), "seconds must be above 0, got 0"),
        (lambda: exposure.equivalent_level([(94, 0)]), "total time must be above 0, got 0.0"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
