"""Values of an input, as pages show them in each language, are read by the import of a list."""

from __future__ import annotations

import pytest
from django.db import models
from django.utils import translation

from rigs.lists.columns import COLUMNS, SheetColumn
from rigs.models import Input
from rigs.wording import fields

READ = [each for each in COLUMNS if each.field is not None]


def samples(column: SheetColumn) -> list[object]:
    assert column.field is not None
    field = Input._meta.get_field(column.field.name)
    if isinstance(field, models.BooleanField):
        return [True, False]
    if column.field.name == "pan":
        return [-60, 0, 30]
    return ["0.035"] if column.field.is_length else []


@pytest.mark.parametrize("language", ["en-gb", "de", "es", "fr", "ja"])
def test_what_is_shown_is_read(language: str) -> None:
    checked = 0
    with translation.override(language):
        for column in READ:
            name = column.field.name if column.field else ""
            for value in samples(column):
                shown = fields.text(Input.KIND, name, value, {})  # type: ignore[arg-type]
                assert column.read(shown)[name] == value, shown
                checked += 1
    assert checked > 10
