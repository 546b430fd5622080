"""Levels against closed forms and the definitions of the references."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import levels

LEVELS = st.floats(-200, 200)
PAIRS = [
    (levels.volts_from_dbu, levels.dbu_from_volts),
    (levels.volts_from_dbv, levels.dbv_from_volts),
    (levels.pascals_from_spl, levels.spl_from_pascals),
    (levels.ratio_from_db, levels.db_from_ratio),
    (levels.dbv_from_dbu, levels.dbu_from_dbv),
]


# Closed form evaluated apart from this code; the 0.7746 V reference is common practice.
@pytest.mark.parametrize(
    ("dbu", "volts", "dbv"),
    [(0, 0.774597, -2.2185), (4, 1.2277, 1.7815), (24, 12.2765, 21.7815), (2.2185, 1.0, 0.0)],
)
def test_dbu_volts_and_dbv_agree(dbu: float, volts: float, dbv: float) -> None:
    assert levels.volts_from_dbu(dbu) == pytest.approx(volts, rel=1e-4)
    assert levels.dbv_from_dbu(dbu) == pytest.approx(dbv, abs=0.005)
    assert levels.dbu_from_volts(volts) == pytest.approx(dbu, abs=0.005)


def test_minus_10_dbv() -> None:
    # Closed form.
    assert levels.volts_from_dbv(-10) == pytest.approx(0.31623, rel=1e-4)
    assert levels.dbu_from_dbv(-10) == pytest.approx(-7.7815, abs=0.005)


# SMPTE RP 155 and EBU R 68 alignment levels, both from memory, unverified.
@pytest.mark.parametrize(("dbu", "full_scale", "dbfs"), [(4, 24, -20.0), (0, 18, -18.0)])
def test_alignment_levels(dbu: float, full_scale: float, dbfs: float) -> None:
    assert levels.dbfs_from_dbu(dbu, full_scale) == dbfs


# 20 uPa: ISO 1683; the rest closed form.
@pytest.mark.parametrize(
    ("spl", "pascals"), [(93.9794, 1.0), (94, 1.00237), (114, 10.0237), (0, 20e-6)]
)
def test_pressure_levels(spl: float, pascals: float) -> None:
    assert levels.pascals_from_spl(spl) == pytest.approx(pascals, rel=1e-4)
    assert levels.spl_from_pascals(pascals) == pytest.approx(spl, abs=0.005)


# Directive 2003/10/EC Art. 3 states both forms of its peak limits.
@pytest.mark.parametrize(("pascals", "spl"), [(200, 140.0), (140, 136.90), (112, 134.96)])
def test_peak_limits_of_the_directive(pascals: float, spl: float) -> None:
    assert levels.spl_from_pascals(pascals) == pytest.approx(spl, abs=0.005)


def test_sine_equivalent_peak() -> None:
    # A sine is its own equivalent; a square wave (crest 0 dB) peaks 3.01 dB below it.
    assert levels.sine_equivalent_peak(100, levels.SINE_CREST_DB) == 100
    assert levels.sine_equivalent_peak(100, 0) == pytest.approx(96.9897, abs=1e-4)
    assert levels.sine_equivalent_peak(100, 15) == pytest.approx(111.9897, abs=1e-4)


@pytest.mark.parametrize(("there", "back"), PAIRS)
@given(level=LEVELS)
def test_round_trip(there, back, level: float) -> None:
    assert back(there(level)) == pytest.approx(level, abs=1e-9)


@pytest.mark.parametrize(("there", "back"), PAIRS)
def test_vector_equals_scalars(there, back) -> None:
    many = np.array([-60.0, 0.0, 4.0, 24.0])
    assert there(many).tolist() == [there(float(x)) for x in many]
    assert back(there(many)).tolist() == [back(there(float(x))) for x in many]
    assert type(there(4)) is float


@given(a=LEVELS, b=LEVELS)
def test_louder_is_more_volts(a: float, b: float) -> None:
    quiet, loud = sorted((a, b))
    assert levels.volts_from_dbu(quiet) <= levels.volts_from_dbu(loud)


@pytest.mark.parametrize("volts", [0, -1.5, float("nan"), float("inf")])
def test_voltage_must_be_above_0(volts: float) -> None:
    with pytest.raises(ValueError, match=rf"^volts must be above 0, got {volts!r}$"):
        levels.dbu_from_volts(volts)


@pytest.mark.parametrize("bad", ["4", None, True, 4j, [1, "x"]])
def test_only_numbers_are_levels(bad: object) -> None:
    with pytest.raises(ValueError, match="^level must be "):
        levels.volts_from_dbu(bad)


def test_an_array_names_its_first_offender() -> None:
    with pytest.raises(ValueError, match=r"^pascals must be above 0, got -2\.0$"):
        levels.spl_from_pascals(np.array([1.0, -2.0, -3.0]))


def test_levels_beyond_reason_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^level must be from -1000 to 1000 dB, got 1001$"):
        levels.ratio_from_db(1001)
    with pytest.raises(ValueError, match=r"^crest_db must be from 0 to 1000 dB, got -1$"):
        levels.sine_equivalent_peak(100, -1)
