"""What is other in a row than it was, in sentences for its history."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import models

from core.languages.choice import as_stored


def changed_words(was: models.Model, now: models.Model, names: Sequence[str]) -> list[str]:
    """“Count: 1 → 2.” for each of the fields `names` that differs."""
    with as_stored():
        return [
            f"{_label(now, name)}: {_in_words(was, name)} → {_in_words(now, name)}."
            for name in names
            if getattr(was, name) != getattr(now, name)
        ]


def _label(row: models.Model, name: str) -> str:
    column: Any = row._meta.get_field(name)
    label = str(column.verbose_name)
    return label[:1].upper() + label[1:]


def _in_words(row: models.Model, name: str) -> str:
    chosen = getattr(row, f"get_{name}_display", None)
    value = chosen() if chosen else getattr(row, name)
    return "nothing" if value in (None, "") else "; ".join(str(value).splitlines())
