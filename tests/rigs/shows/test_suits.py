"""Whether a device can stand in: numbers by the definition of the decibel, words for the rest."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.bench import BenchDevice, BenchInput, BenchUnit
from rigs.checks.suits import suits


def mic(id: str, **more: Any) -> BenchDevice:
    return BenchDevice(id, more.pop("name", f"Mic {id}"), "mic", **{"principle": "dynamic"} | more)


def at(device: BenchDevice | None, **more: Any) -> BenchInput:
    return BenchInput("i", "Bass mic", device=device, **more)


def test_the_same_figures_leave_nothing_to_mind() -> None:
    one = mic("a", sensitivity=0.002, max_spl=140.0, pattern="cardioid")
    two = mic("b", sensitivity=0.002, max_spl=140.0, pattern="cardioid")
    assert suits(two, at(one)) == []


@pytest.mark.parametrize(
    ("new", "old", "said"),
    [
        # 20 lg 2 = 6.02 dB and 20 lg 10 = 20 dB: definition of the decibel for field quantities.
        (0.004, 0.002, "6.0 dB more sensitive than Mic a: for the same level turn the preamp down"),
        (0.002, 0.020, "20.0 dB less sensitive than Mic a: for the same level turn the preamp up"),
    ],
)
def test_sensitivities_tell_the_difference_in_level(new: float, old: float, said: str) -> None:
    [sentence] = suits(mic("b", sensitivity=new), at(mic("a", sensitivity=old)))
    assert sentence.startswith(said)


def test_the_gain_for_the_same_level_is_worked_out() -> None:
    old, new = mic("a", sensitivity=0.002), mic("b", sensitivity=0.02)
    [sentence] = suits(new, at(old, gain=38.0))
    assert sentence.endswith("by as much, from 38 to 18.0 dB.")


def test_an_unknown_sensitivity_is_said_not_guessed() -> None:
    [sentence] = suits(mic("b"), at(mic("a", sensitivity=0.002)))
    assert "not known" in sentence


def test_phantom_that_is_needed_and_off() -> None:
    new = mic("b", principle="condenser", needs_phantom=True)
    assert "Mic b needs phantom power, which is off." in suits(new, at(None))
    assert suits(new, at(None, phantom=True)) == []


def test_phantom_on_a_passive_ribbon() -> None:
    assert suits(mic("b", principle="ribbon"), at(None, phantom=True)) == [
        "Phantom power on a passive ribbon."
    ]


def test_a_capsule_that_takes_less() -> None:
    old = mic("a", sensitivity=0.002, max_spl=150.0)
    new = mic("b", sensitivity=0.002, max_spl=130.0)
    [sentence] = suits(new, at(old))
    assert sentence == ("Takes 20 dB less than Mic a before it distorts: 130 against 150 dB SPL.")


def test_a_capsule_beyond_its_limit_at_the_stated_level() -> None:
    unit = BenchUnit("u", "Kick", "drum", facts={"spl_at_mic": 140.0})
    found = suits(mic("b", max_spl=130.0), at(None, unit=unit))
    assert found == ["The capsule of Mic b is beyond its limit."]


def test_another_pattern() -> None:
    old = mic("a", sensitivity=0.002, pattern="cardioid")
    [sentence] = suits(mic("b", sensitivity=0.002, pattern="omnidirectional"), at(old))
    assert sentence.startswith("Another pattern, omnidirectional instead of cardioid:")


def test_a_microphone_for_a_di_box() -> None:
    di = BenchDevice("d", "Box", "di", "di_passive", impedance=1e6)
    assert suits(mic("b"), at(di)) == ["This is a microphone, the list has a DI box."]
    assert suits(di, at(mic("b"))) == ["This is a DI box, the list has a microphone."]


def test_a_di_box_that_loads_more() -> None:
    old = BenchDevice("d", "Box", "di", "di_active", impedance=1e6)
    new = BenchDevice("e", "Other box", "di", "di_passive", impedance=140e3)
    [sentence] = suits(new, at(old))
    assert sentence.startswith("Its input is 140 kΩ instead of 1000 kΩ")
    assert suits(old, at(new)) == []
