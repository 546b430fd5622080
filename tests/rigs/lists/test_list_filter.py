"""What narrows the lists on a page, and what of it a file has."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Add
from rigs.lists.cases import Count
from rigs.lists.filters import ListFilter
from rigs.lists.input_list import inputs_of
from tests.support.world import World, input_fields

LINES = st.lists(st.builds(Count, st.text("abA ß", max_size=8), st.none(), st.text("abc ")))


@given(LINES, st.text("abßA ", max_size=6))
def test_a_line_is_shown_where_it_has_every_word(lines: list[Count], words: str) -> None:
    query = QueryDict(mutable=True)
    query["words"] = words
    shown = ListFilter(query).lines(lines)
    for line in lines:
        text = f"{line.what} {line.where}".casefold()
        assert (line in shown) == all(word in text for word in words.casefold().split())
    again = ListFilter(query).lines(shown)
    assert again == shown


@pytest.fixture
def two(world: World, client: Client) -> Client:
    fields = {**input_fields(world.unit.pk, world.mic.pk), "number": 8, "name": "Bass DI"}
    world.record(Add("00000000-0000-4000-8000-0000000000d1", "input", fields))
    client.force_login(world.tech)
    return client


def at(world: World, name: str, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, *more])


def test_inputs_are_found_by_what_the_list_says(world: World, two: Client) -> None:
    rows = inputs_of(world.production)
    for words, names in (
        ("di", ["Bass DI"]),
        ("BASS", ["Bass mic", "Bass DI"]),
        (world.player.name.split()[0], ["Bass mic", "Bass DI"]),
        ("bass oboe", []),
    ):
        query = QueryDict(mutable=True)
        query["words"] = words
        assert [entry.name for entry in ListFilter(query).inputs(rows)] == names


def test_the_page_says_how_many_and_a_file_has_them_all(world: World, two: Client) -> None:
    page = two.get(at(world, "input_list"), {"words": "bass di"}).content.decode()
    assert "1 of 2 inputs" in page
    assert "Bass mic" not in page
    assert "Show every line" in page
    file = two.get(at(world, "input_list_file", "csv"), {"words": "bass di"}).content.decode()
    assert "Bass mic" in file
    assert "Bass DI" in file


def test_a_filtered_pack_list_has_no_folded_section(world: World, two: Client) -> None:
    spare = {"unit": str(world.unit.pk), "sort": "fuse", "what": "T 2 A", "carried": 3}
    world.record(Add("00000000-0000-4000-8000-0000000000d2", "spare", spare))
    whole = two.get(at(world, "pack_list")).content.decode()
    assert '<details class="fold" id="spares">' in whole
    found = two.get(at(world, "pack_list"), {"words": "t 2 a"}).content.decode()
    assert '<details class="fold"' not in found
    assert "T 2 A" in found
    assert "Corvane Hollow 2" not in found
    none = two.get(at(world, "pack_list"), {"words": "oboe"}).content.decode()
    assert "No line has all of these words." in none
