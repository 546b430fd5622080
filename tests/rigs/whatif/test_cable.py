"""Another cable or input on a passive pickup, against ngspice's figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal.pickups import resonance
from rigs.whatif.answers import ProposedValue
from rigs.whatif.cable import CableLoad, answer, circuit, missing

# ngspice 39, AC sweeps of L, Rs, C with RL: the part values are illustrative (common practice, no
# source). C is split here into a coil's own part and 5 m at 100 or 140 pF/m. RL of D is 200 k in
# parallel with 47 k. Columns: peak Hz, peak dB, 10 Hz dB, −3 dB Hz; tolerance 0.3 %, 0.02 dB.
COIL_A = {"pickup_inductance": 2.4, "pickup_resistance": 6000.0, "pickup_capacitance": 110e-12}
COIL_B = {"pickup_inductance": 4.5, "pickup_resistance": 8000.0, "pickup_capacitance": 120e-12}
FIVE_A, FIVE_B = CableLoad(5, 100e-12, 200e3), CableLoad(5, 140e-12, 333_333)
SPICE = {
    "A": (COIL_A, FIVE_A, (4047, 7.811, -0.257, 6366)),
    "B": (COIL_B, FIVE_B, (2580, 9.638, -0.206, 4040)),
    "D": (
        COIL_A | {"volume_pot": 200e3},
        CableLoad(5, 100e-12, 47e3),
        (None, -1.272, -1.272, 3829),
    ),
}


@pytest.mark.parametrize("name", SPICE)
def test_resonance_is_that_of_the_circuit_simulator(name: str) -> None:
    facts, load, (peak_hz, peak_db, low_db, minus3) = SPICE[name]
    found = resonance(circuit(facts, load))
    assert found.peak_hz == (peak_hz and pytest.approx(peak_hz, rel=0.003))
    assert found.peak_db == pytest.approx(peak_db, abs=0.02)
    assert found.low_db == pytest.approx(low_db, abs=0.02)
    assert found.minus3_hz == pytest.approx(minus3, rel=0.003)


def test_answer_from_a_high_input_to_a_low_one() -> None:
    facts = COIL_A | {"volume_pot": 200e3}
    # An input of 100 MΩ leaves the potentiometer's 200 kΩ alone, which is set A.
    told = answer(facts, CableLoad(5, 100e-12, 1e8), CableLoad(5, 100e-12, 47e3))
    (table,) = told.tables
    assert table.rows == (
        ("Cable", "500 pF", "500 pF"),
        ("Resonance", "4.05 kHz", "no peak"),
        ("Peak, against the coil", "7.8 dB", "−1.3 dB"),
        ("Low end, against the coil", "−0.3 dB", "−1.3 dB"),
        ("3 dB below the low end at", "6.37 kHz", "3.83 kHz"),
    )
    assert told.words.startswith("The resonance: 4.05 kHz now, no peak then; at 5 kHz ")
    assert told.words.endswith(" dB less.")


def test_answer_tells_where_the_resonance_goes() -> None:
    told = answer(
        COIL_A,
        FIVE_A,
        CableLoad(10, 100e-12, 200e3),
        ProposedValue("link", "x", "length_m", "10 m"),
    )
    # The peak lies below 1 / (2 pi sqrt(L C)), which is 3.08 kHz for 1110 pF.
    assert told.words.startswith("The resonance goes from 4.05 kHz to 3.0")
    assert told.proposal == ProposedValue("link", "x", "length_m", "10 m")
    assert "No volume potentiometer is stated" in told.assumes[1]
    assert "<title>The pickup with its cable and input, now and then</title>" in told.drawing


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({}, "Not stated: pickup inductance, pickup resistance, pickup capacitance."),
        (COIL_A | {"pickup_capacitance": 0.0}, "Not stated: pickup capacitance."),
    ],
)
def test_a_figure_that_is_missing_is_said(facts: dict[str, float], words: str) -> None:
    told = answer(facts, FIVE_A, FIVE_B)
    assert told.problems == (f"{words} Enter it as a figure first.",)
    assert (told.words, told.tables, told.proposal) == ("", (), None)


def test_nothing_missing() -> None:
    assert missing(COIL_A) == []


@given(st.floats(0.1, 30), st.floats(1.01, 5))
def test_a_longer_cable_lowers_the_resonance(metres: float, longer: float) -> None:
    found = [
        resonance(circuit(COIL_A, CableLoad(length, 100e-12, 1e6))).peak_hz
        for length in (metres, metres * longer)
    ]
    assert found[0] is not None
    assert found[1] is not None
    assert found[1] < found[0]
