"""The page that searches a production."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from core.models import SearchEntry
from core.models.roles import Role
from core.places import IndexEntry
from core.search.backend import index, index_all
from tests.support.world import World

Kind = SearchEntry.Kind


def url(world: World, query: str = "") -> str:
    return f"/p/{world.production.pk}/search/{query}"


def put(world: World, title: str, body: str = "", kind: str = Kind.NOTE) -> None:
    index(world.production, kind, uuid4(), title, body, "/somewhere/")


@pytest.fixture
def opened(client: Client, world: World) -> Any:
    client.force_login(world.people[Role.CREW])
    return lambda query="": client.get(url(world, query))


def test_at_first_it_says_what_can_be_found(opened: Any) -> None:
    assert "Search the notebook" in opened().content.decode()


def test_a_hit_is_marked_in_its_context(opened: Any, world: World) -> None:
    put(world, "Zither, bridge", "Much too boomy & <b>loud</b>.")
    text = opened("?q=boom").content.decode()
    assert "Much too <mark>boomy</mark> &amp; &lt;b&gt;loud&lt;/b&gt;." in text
    assert '<a href="/somewhere/"><span>Zither, bridge' in text


def test_nothing_found_says_so_and_keeps_what_was_typed(opened: Any, world: World) -> None:
    text = opened("?q=xylorimba").content.decode()
    assert "Nothing found" in text
    assert 'value="xylorimba"' in text
    assert "Look in everything" not in text


def test_nothing_in_one_kind_offers_all_kinds(opened: Any) -> None:
    text = opened("?q=xylorimba&kind=gear").content.decode()
    assert 'href="?q=xylorimba"' in text


def test_signs_alone_are_no_words(opened: Any) -> None:
    assert "No word to search for" in opened("?q=%22%2A%28").content.decode()


def test_one_kind_only(opened: Any, world: World) -> None:
    put(world, "Zither head", kind=Kind.GEAR)
    put(world, "Zither note", kind=Kind.NOTE)
    text = opened("?q=zither&kind=gear").content.decode()
    assert "<mark>Zither</mark> head" in text
    assert "<mark>Zither</mark> note" not in text


@pytest.mark.parametrize(
    "query", ["?q=zither&kind=nonsense", "?q=zither&page=x", "?q=zither&page=0"]
)
def test_an_address_that_was_tampered_with_falls_back(
    opened: Any, world: World, query: str
) -> None:
    put(world, "Zither head")
    assert "<mark>Zither</mark> head" in opened(query).content.decode()


def test_more_than_a_page(opened: Any, world: World) -> None:
    index_all(
        IndexEntry(world.production.pk, "note", uuid4(), "Zither", "", "/x/") for _ in range(25)
    )
    assert 'href="?q=zither&amp;kind=&amp;page=2"' in opened("?q=zither").content.decode()
    second = opened("?q=zither&page=2").content.decode()
    assert second.count('class="result"') == 5
    assert 'href="?q=zither&amp;kind=&amp;page=1"' in second


def test_an_outsider_finds_no_page(client: Client, world: World) -> None:
    client.force_login(world.outsider)
    assert client.get(url(world, "?q=zither")).status_code == 404


@pytest.mark.parametrize("size", [1, 15])
def test_the_page_costs_the_same_whatever_it_finds(
    opened: Any, world: World, django_assert_num_queries: Any, size: int
) -> None:
    index_all(
        IndexEntry(world.production.pk, "note", uuid4(), "Zither", "", "/x/") for _ in range(size)
    )
    opened("?q=zither")
    with django_assert_num_queries(7):
        opened("?q=zither")


def test_a_wrong_letter_is_forgiven_and_said(opened: Any, world: World) -> None:
    put(world, "Zither, bridge")
    text = " ".join(opened("?q=zithar").content.decode().split())
    assert "Nothing is called “zithar”; similar" in text
    assert '<a href="?q=Zither">Zither</a>' in text
    assert "<mark>Zither</mark>, bridge" in text


def test_similar_ones_follow_those_as_typed(opened: Any, world: World) -> None:
    put(world, "Zithar, a slip of the pen")
    put(world, "Zither, bridge")
    text = opened("?q=zithar").content.decode()
    assert "Nothing is called" not in text
    assert text.index("a slip of the pen") < text.index("Similar") < text.index("bridge")


def test_a_similar_word_keeps_the_kind(opened: Any, world: World) -> None:
    put(world, "Zither head", kind=Kind.GEAR)
    assert 'href="?q=Zither&amp;kind=gear"' in opened("?q=zithar&kind=gear").content.decode()
