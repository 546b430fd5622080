"""The pickup circuit against ngspice: its figures, and the simulator itself where present."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import pickups
from rigs.signal.pickups import PickupCircuit

# Component values are illustrative: common practice, no source.
SMALL = PickupCircuit(2.4, 6000, 610e-12, input_ohms=200e3)
LARGE = PickupCircuit(4.5, 8000, 820e-12, input_ohms=333333)
LOADED = PickupCircuit(2.4, 6000, 610e-12, input_ohms=38057)
CONTROLS = PickupCircuit(
    henries=2.4,
    ohms=6000,
    farads=110e-12,
    cable_farads=700e-12,
    input_ohms=1e6,
    volume_ohms=250e3,
    volume=0.4,
    tone_ohms=30e3,
    tone_farads=22e-9,
)
NETLIST = """pickup
V1 1 0 DC 0 AC 1
R1 1 2 6000
L1 2 3 2.4
C1 3 0 110p
R2 3 4 30k
C2 4 0 22n
R3 3 5 150k
R4 5 0 100k
C3 5 0 700p
R5 5 0 1meg
.ac dec 20 10 30k
.control
run
wrdata out.data vdb(5)
quit 0
.endc
.end
"""


# ngspice 39, AC sweep of source, R, L, then C and load: 0.3 % of frequency, 0.02 dB.
@pytest.mark.parametrize(
    ("circuit", "undamped", "peak", "peak_db", "low_db", "minus3"),
    [
        (SMALL, 4159.6, 4047, 7.811, -0.257, 6366),
        (LARGE, 2620.0, 2580, 9.638, -0.206, 4040),
        (LOADED, 4159.6, None, -1.272, -1.272, 3829),
    ],
)
def test_figures_of_ngspice(circuit, undamped, peak, peak_db, low_db, minus3) -> None:
    found = pickups.resonance(circuit)
    assert pickups.undamped_resonance(circuit) == pytest.approx(undamped, rel=1e-4)
    assert found.peak_hz == (peak if peak is None else pytest.approx(peak, rel=3e-3))
    assert found.peak_db == pytest.approx(peak_db, abs=0.02)
    assert found.low_db == pytest.approx(low_db, abs=0.02)
    assert found.minus3_hz == pytest.approx(minus3, rel=3e-3)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_whole_circuit_with_controls_against_ngspice(tmp_path: Path) -> None:
    (tmp_path / "circuit.cir").write_text(NETLIST)
    subprocess.run(["ngspice", "-b", "circuit.cir"], cwd=tmp_path, check=True, capture_output=True)
    frequency, level = np.loadtxt(tmp_path / "out.data", unpack=True)
    assert len(frequency) > 60
    assert pickups.response_db(frequency, CONTROLS) == pytest.approx(level, abs=1e-4)


def test_response_of_the_closed_form() -> None:
    # H = ZL / (Rs + sL + ZL), written out a second time.
    s = 2j * np.pi * 3000
    load = 1 / (1 / 200e3 + s * 610e-12)
    expected = 20 * np.log10(abs(load / (6000 + s * 2.4 + load)))
    assert pickups.response_db(3000, SMALL) == pytest.approx(expected, abs=1e-9)


def test_full_volume_is_its_track_across_the_coil() -> None:
    control = replace(SMALL, input_ohms=1e6, volume_ohms=250e3)
    assert pickups.response_db(3000, control) == pytest.approx(pickups.response_db(3000, SMALL))


def test_without_any_load_only_the_coil_damps() -> None:
    free = PickupCircuit(2.4, 6000, 610e-12)
    # Closed form: |H| at the undamped resonance is sqrt(L/C) / R.
    at = pickups.undamped_resonance(free)
    expected = 20 * np.log10(np.sqrt(2.4 / 610e-12) / 6000)
    assert pickups.response_db(at, free) == pytest.approx(expected, abs=1e-6)


def test_minus3_beyond_the_search_is_none() -> None:
    assert pickups.resonance(PickupCircuit(0.001, 10, 1e-12)).minus3_hz is None


def test_what_another_input_does() -> None:
    change = pickups.difference_db(4047, SMALL, LOADED)
    expected = pickups.response_db(4047, LOADED) - 7.811
    assert change == pytest.approx(expected, abs=0.02)


@given(short=st.floats(0, 1e-9), more=st.floats(1e-11, 1e-9))
def test_longer_cable_lowers_the_resonance(short: float, more: float) -> None:
    one, other = (replace(SMALL, cable_farads=c) for c in (short, short + more))
    assert pickups.undamped_resonance(other) < pickups.undamped_resonance(one)
    assert pickups.resonance(other).minus3_hz < pickups.resonance(one).minus3_hz


@given(own=st.floats(1e-12, 6e-10), cable=st.floats(0, 6e-10))
def test_cable_and_own_capacitance_add_without_controls(own: float, cable: float) -> None:
    split = PickupCircuit(2.4, 6000, own, cable_farads=cable, input_ohms=1e6)
    joined = PickupCircuit(2.4, 6000, own + cable, input_ohms=1e6)
    assert pickups.response_db(3000, split) == pytest.approx(pickups.response_db(3000, joined))


@given(volume=st.floats(0.01, 0.98))
def test_turning_down_is_quieter_at_the_bottom(volume: float) -> None:
    low, high = (replace(CONTROLS, volume=v) for v in (volume, volume + 0.02))
    assert pickups.response_db(10, low) < pickups.response_db(10, high)


def test_vector_equals_scalars() -> None:
    grid = np.array([10.0, 440.0, 4000.0])
    many = pickups.response_db(grid, CONTROLS)
    assert many == pytest.approx([pickups.response_db(float(f), CONTROLS) for f in grid], abs=1e-12)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"henries": 0}, "henries must be above 0, got 0"),
        ({"ohms": -1}, "ohms must be above 0, got -1"),
        ({"cable_farads": -1e-12}, "cable_farads must be 0 or more, got -1e-12"),
        ({"input_ohms": 0}, "input_ohms must be above 0, got 0"),
        ({"volume": 0}, "volume must be above 0 and at most 1, got 0"),
        ({"volume": 1.5}, r"volume must be above 0 and at most 1, got 1\.5"),
        ({"tone_farads": float("nan")}, "tone_farads must be above 0, got nan"),
    ],
)
def test_nonsense_is_refused(change: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}$"):
        replace(SMALL, **change)


def test_frequency_must_be_above_0() -> None:
    with pytest.raises(ValueError, match="^frequency must be above 0, got 0$"):
        pickups.response_db(0, SMALL)
