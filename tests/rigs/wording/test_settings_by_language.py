"""Settings with figures: with the decimal sign of the reader, and read back as they are shown."""

from __future__ import annotations

import pytest
from django.utils import translation

from rigs.settings_of_controls import Style, tidy_setting
from rigs.wording import fields


@pytest.mark.parametrize(
    ("style", "shown"), [("value", "2,5 ms"), ("dial", "2,5"), ("text", "2.5")]
)
def test_numbers_of_settings(style: str, shown: str) -> None:
    known = {"style": style, "symbol": "ms" if style == "value" else ""}
    with translation.override("de"):
        assert fields.setting("2.5", known) == shown
    assert fields.setting("2.5", known) == shown.replace(",", ".")


def test_what_is_shown_reads_back() -> None:
    with translation.override("fr"):
        shown = fields.setting("-2.5", {"style": "value", "symbol": ""})
        assert tidy_setting(Style.VALUE, shown, None, None, "") == "-2.5"
