"""What is other in a row than it was, in sentences for its history."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import models
from django.utils.translation import gettext_noop

from core.languages.choice import as_stored
from core.languages.sentences import Sentences, label_retold


class Says(Sentences):
    """What is said of a field that differs, and of an empty one."""

    CHANGED = gettext_noop("{label}: {old} → {new}.")
    NOTHING = gettext_noop("nothing")


def changed_words(was: models.Model, now: models.Model, names: Sequence[str]) -> list[str]:
    """“Count: 1 → 2.” for each of the fields `names` that differs."""
    with as_stored():
        return [
            Says.CHANGED.said(
                label=_label(now, name), old=_in_words(was, name), new=_in_words(now, name)
            )
            for name in names
            if getattr(was, name) != getattr(now, name)
        ]


def changed_retold(words: str, kind: type[models.Model], names: Sequence[str]) -> str:
    """A sentence of `changed_words` on a row of `kind`, in the language of the reader."""
    empty = kind()
    for name in names:
        with as_stored():
            begins = f"{_label(empty, name)}: "
        old, arrow, new = words.removeprefix(begins).removesuffix(".").partition(" → ")
        if words.startswith(begins) and words.endswith(".") and arrow:
            values = (_value_retold(kind, name, value) for value in (old, new))
            return Says.CHANGED.said(label=_label(empty, name), old=next(values), new=next(values))
    return words


def _value_retold(kind: type[models.Model], name: str, value: str) -> str:
    if value == Says.NOTHING:
        return Says.NOTHING.said()
    column: Any = kind._meta.get_field(name)
    return label_retold(value, [label for _key, label in column.flatchoices])


def _label(row: models.Model, name: str) -> str:
    column: Any = row._meta.get_field(name)
    label = str(column.verbose_name)
    return label[:1].upper() + label[1:]


def _in_words(row: models.Model, name: str) -> str:
    chosen = getattr(row, f"get_{name}_display", None)
    value = chosen() if chosen else getattr(row, name)
    return str(Says.NOTHING) if value in (None, "") else "; ".join(str(value).splitlines())
