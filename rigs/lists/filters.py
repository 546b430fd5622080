"""The filter of the lists on a page.

A file or a sheet of paper is always of the whole list: whoever packs from it must not miss what a
filter left out.
"""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy

from rigs.lists.cases import Count
from rigs.lists.groups import GROUPS
from rigs.models import Input


class ListFilter(forms.Form):
    """A line is shown where it has all the words, each anywhere in it, in any case."""

    words = forms.CharField(
        label=gettext_lazy("Only lines with"),
        required=False,
        max_length=100,
        help_text=gettext_lazy("A name, a player, a microphone, a stand, a case …"),
    )

    def __init__(self, query: QueryDict) -> None:
        super().__init__(query, auto_id="filter_%s")
        self.is_valid()

    @property
    def asked(self) -> list[str]:
        """The words, folded for comparison; none where nothing is narrowed."""
        return str(self.cleaned_data.get("words", "")).casefold().split()

    def inputs(self, inputs: Iterable[Input]) -> list[Input]:
        return (
            [entry for entry in inputs if self._has(_text_of(entry))] if self.asked else [*inputs]
        )

    def lines(self, lines: Iterable[Count]) -> list[Count]:
        return [line for line in lines if self._has(f"{line.in_full} {line.where} {line.serials}")]

    def _has(self, text: str) -> bool:
        folded = text.casefold()
        return all(word in folded for word in self.asked)


def _text_of(entry: Input) -> str:
    """Whatever the list says of an input, and the instrument of its player."""
    said = [group.text(entry) for group in GROUPS]
    return " ".join([*said, entry.rig.player.instrument, entry.notes])
