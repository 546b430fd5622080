"""The caution for a battery is that of its chemistry, as far as its words say it."""

from __future__ import annotations

import pytest

from rigs.upkeep.cautions import BATTERY, CAUTIONS, LITHIUM, caution_for, cautions_for


@pytest.mark.parametrize(
    "what",
    [
        "AA lithium, for the hand-held",
        "Li-ion pack",
        "LiPo 7.4 V",
        "3 V CR2032",
        "CR123A",
        "ER14505",
    ],
)
def test_lithium_is_read_from_words_and_designations(what: str) -> None:
    """CR and ER are lithium systems by the letters of IEC 60086-1 (from memory)."""
    assert caution_for("battery", what) == LITHIUM


@pytest.mark.parametrize(
    "what",
    [
        "9 V block, alkaline",
        "6LR61",
        "AA zinc-carbon",
        "AA NiMH, 2100 mAh",
        "rechargeable Ni-MH AA",
    ],
)
def test_another_chemistry_gets_no_words_about_lithium(what: str) -> None:
    found = caution_for("battery", what)
    assert found == BATTERY
    assert "lithium" not in found.text.casefold()


def test_where_the_chemistry_is_not_said_both_are() -> None:
    assert cautions_for([("battery", "9 V block")]) == [BATTERY, LITHIUM]
    found = caution_for("battery", "9 V block")
    assert found is not None
    assert BATTERY.text in found.text
    assert f"If they are lithium: {LITHIUM.text}" in found.text


def test_each_is_said_once_and_in_one_order() -> None:
    wanted = [("battery", "AA lithium"), ("valve", "EL"), ("battery", "9 V, alkaline"), ("pad", "")]
    found = cautions_for([*wanted, *wanted])
    assert found == [CAUTIONS["valve"], BATTERY, LITHIUM]


def test_each_leaves_the_last_word_to_others() -> None:
    for caution in (*CAUTIONS.values(), BATTERY, LITHIUM):
        words = ("qualified", "maker", "local", "last word")
        assert any(word in caution.text for word in words), caution.title
