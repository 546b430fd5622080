"""What the log of upkeep is about is stored in English, and told in the language of the reader."""

from __future__ import annotations

from django.utils import translation

from rigs.models import Spare, UpkeepEntry


def test_the_sort_is_told_and_what_is_typed_is_not() -> None:
    entry = UpkeepEntry(said_of="string set: single string: 10–46")
    with translation.override("de"):
        sort = str(Spare.Sort.STRING_SET.label)
        assert entry.told_of == f"{sort}: single string: 10–46"
    assert sort != "string set"
    assert entry.told_of == entry.said_of


def test_what_is_no_sort_stays() -> None:
    with translation.override("de"):
        assert UpkeepEntry(said_of="strings of ours: 10–46").told_of == "strings of ours: 10–46"
