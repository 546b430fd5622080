"""Values that were stored in English in the words of their field, told to the reader. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from django.db import models
from django.utils.translation import gettext as _

from core.languages.choice import as_stored
from core.languages.words import retold
from rigs.changes.edits import Value
from rigs.models import PARTS
from rigs.models.parts import columns
from rigs.wording import fields
from rigs.wording.changes import AS_USUAL, NOT_USED, NOTHING

_ANYWHERE = (AS_USUAL, NOT_USED, NOTHING, "the whole rig", "a picture")
_SIDES = ("{n} house left", "{n} house right")


def value_retold(value: str, label: str = "") -> str:
    """`value` as it was stored below `label`, both in English, in the language of the reader, where
    it is one of ours; whatever somebody typed stays."""
    if value in _ANYWHERE:
        return _(value)
    of_field = label.split(", ")[-1].casefold()
    if (found := _known().get((of_field, value))) is not None:
        return fields.text(*found)
    return retold(value, _SIDES) if of_field in _pans() else value


@cache
def _known() -> dict[tuple[str, str], tuple[str, str, Value]]:
    """The values of fields that are chosen, by the label of the field and the value in English."""
    with as_stored():
        return {
            (fields.word(kind, name).casefold(), fields.text(kind, name, value)): (
                kind,
                name,
                value,
            )
            for kind, name, value in _chosen()
        }


@cache
def _pans() -> frozenset[str]:
    with as_stored():
        return frozenset(
            fields.word(kind, column.name).casefold()
            for kind, model in PARTS.items()
            for column in columns(model)
            if column.name == "pan"
        )


def _chosen() -> Iterator[tuple[str, str, Value]]:
    for kind, model in PARTS.items():
        for column in columns(model):
            if isinstance(column.field, models.BooleanField):
                yield from ((kind, column.name, value) for value in (False, True))
            for value, _label in column.field.flatchoices:
                yield kind, column.name, value
            if column.name == "pan":
                yield kind, column.name, 0
