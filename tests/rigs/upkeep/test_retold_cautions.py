"""Cautions that a handover holds in English, told in the language of the reader."""

from __future__ import annotations

from collections.abc import Iterator
from unittest import mock

import pytest

from rigs.cautions import LIFTING
from rigs.gear.cautions import MAINS_CAUTION, VALVE_CAUTION
from rigs.upkeep.cautions import CAUTIONS, about_retold, text_retold


@pytest.fixture(autouse=True)
def _in_capitals() -> Iterator[None]:
    """A language of capitals; what stands in braces stays."""

    def said(message: str) -> str:
        return message if "{" in message else message.upper()

    with (
        mock.patch("rigs.upkeep.cautions._", said),
        mock.patch("rigs.cautions._", said),
        mock.patch("core.languages.words._", said),
    ):
        yield


def test_each_caution_of_a_text_is_told() -> None:
    told = text_retold(f"{VALVE_CAUTION} {MAINS_CAUTION}")
    assert told == f"{VALVE_CAUTION} {MAINS_CAUTION}".upper()
    assert text_retold(str(LIFTING[1])) == str(LIFTING[1]).upper()
    assert text_retold("Mind the step.") == "Mind the step."


def test_of_what_it_is_about_names_stay() -> None:
    fuses = CAUTIONS["fuse"][0]
    assert about_retold(f"{fuses} of Head, Cabinet") == "FUSES of Head, Cabinet"
    assert about_retold("Cabinet at 34 kg (Bass main)") == "Cabinet at 34 kg (Bass main)"
