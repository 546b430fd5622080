"""Readers of the environment name the variable that is wrong."""

from __future__ import annotations

import pytest
from django.core.exceptions import ImproperlyConfigured

from core.env import Env


def error_of(read: object, *arguments: object) -> str:
    with pytest.raises(ImproperlyConfigured) as caught:
        read(*arguments)  # type: ignore[operator]
    return str(caught.value)


def test_text_is_stripped_and_has_a_default() -> None:
    assert Env({"A": " x "}).text("A") == "x"
    assert Env({}).text("A", "y") == "y"


def test_required_refuses_what_is_missing_or_blank() -> None:
    for values in ({}, {"KEY": "  "}):
        words = error_of(Env(values).required, "KEY", "it signs.")
        assert words == "Set the environment variable KEY: it signs."


@pytest.mark.parametrize("word", ["1", "true", "YES", "on"])
def test_flag_on(word: str) -> None:
    assert Env({"F": word}).flag("F") is True


@pytest.mark.parametrize("word", ["0", "False", "no", "OFF", ""])
def test_flag_off(word: str) -> None:
    assert Env({"F": word}).flag("F", True) is False


def test_flag_default_and_nonsense() -> None:
    assert Env({}).flag("F", True) is True
    assert error_of(Env({"F": "maybe"}).flag, "F") == "F must be yes or no, not 'maybe'"


def test_number() -> None:
    assert Env({"N": "42"}).number("N", 1) == 42
    assert Env({}).number("N", 7) == 7
    words = error_of(Env({"N": "many"}).number, "N", 1)
    assert words == "N must be a whole number, not 'many'"


def test_items_drop_blanks() -> None:
    assert Env({"L": "a, b,,c "}).items("L") == ["a", "b", "c"]
    assert Env({}).items("L") == []


def test_choice_lists_what_is_possible() -> None:
    assert Env({}).choice("M", ("a", "b"), "b") == "b"
    words = error_of(Env({"M": "c"}).choice, "M", ("a", "b"), "a")
    assert words == "M must be one of a, b, not 'c'"


def test_without_a_mapping_the_process_environment_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TONELEDGER_SOMETHING", "there")
    assert Env().text("TONELEDGER_SOMETHING") == "there"
