"""The search of a large production is filled in slices, and goes on where it was stopped."""

from __future__ import annotations

import time
from typing import Any

import pytest

from core.models import IndexedProduction, SearchEntry
from core.places import SEARCH_ENTRIES
from core.search import sources
from core.search.backend import search
from rigs.models import IndexedRig
from rigs.search import index
from tests.support.everything import fill
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World


def rows() -> list[tuple[Any, ...]]:
    found = SearchEntry.objects.order_by("kind", "subject")
    return list(found.values_list("kind", "subject", "title", "body", "path"))


@pytest.fixture
def emptied(world: World, monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """A production whose search is to be filled anew in small slices; what will be in it."""
    fill(world)
    for device in (world.other_mic, world.mic, world.other_mic):
        world.swap(device, reason=HIRE)
    sources.reindex(world.production)
    kept = rows()
    SearchEntry.objects.all().delete()
    IndexedProduction.objects.all().delete()
    monkeypatch.setattr(index, "SLICE", 2)
    return kept


def test_slices_come_to_the_same_as_all_at_once(
    world: World, emptied: list[tuple[Any, ...]]
) -> None:
    calls = 0
    while not sources.catch_up(world.production, until=0):  # long over: one slice each
        calls += 1
        assert calls < 100
    rigs = IndexedRig.objects.get()
    world.rig.refresh_from_db()
    assert rigs.number == world.rig.head_number
    assert calls >= len(SEARCH_ENTRIES.providers) - 1  # the last one completes it
    assert rows() == emptied


def test_a_stop_costs_no_slice_that_was_done(
    world: World, emptied: list[tuple[Any, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def stopped(entries: Any) -> None:
        if len(asked) == 3:
            raise KeyboardInterrupt
        asked.append(1)
        whole(entries)

    whole = sources._put_in
    monkeypatch.setattr(sources, "_put_in", stopped)
    with pytest.raises(KeyboardInterrupt):
        sources.complete(world.production)
    state = IndexedProduction.objects.get()
    assert (state.contents, state.sources) == (IndexedProduction.UNFINISHED, 3)
    monkeypatch.setattr(sources, "_put_in", lambda entries: (asked.append(1), whole(entries)))
    sources.complete(world.production)
    assert len(asked) == len(SEARCH_ENTRIES.providers)
    assert rows() == emptied


def test_a_search_meanwhile_finds_what_is_in_and_says_that_there_is_more(
    world: World, emptied: list[tuple[Any, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("core.search.backend.WITHIN_S", -1)
    url, client = at(world, "core:search"), as_user(world.tech)
    page = client.get(url, {"q": "bass"}).content.decode()
    assert "Not everything can be found yet" in page
    assert "?q=bass" in page
    api = f"/api/v1/productions/{world.production.pk}/search/?q=bass"
    assert client.get(api).json()["is_complete"] is False
    monkeypatch.setattr("core.search.backend.WITHIN_S", 60)
    assert search(world.production, "bass").is_complete
    assert "Not everything" not in client.get(url, {"q": "bass"}).content.decode()
    assert client.get(api).json()["is_complete"] is True
    assert rows() == emptied


def test_a_moment_that_is_over_stops_only_what_is_left(world: World) -> None:
    sources.reindex(world.production)
    assert sources.catch_up(world.production, until=time.monotonic() - 1)
