"""The list of notes: what it shows, narrows, turns over; in how many queries."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from core.models import KeptResult
from notes.models import ListeningSession
from notes.paging import SIZE
from tests.support.listening import change_for, hear, hear_after
from tests.support.pages import queries_of
from tests.support.world import World

WORDS = re.compile(r"<blockquote[^>]*>(.*?)</blockquote>", re.DOTALL)


def page(client: Client, world: World, query: str = "", who: str = "crew") -> Any:
    client.force_login(world.people[who])
    return client.get(reverse("notes:index", args=[world.production.pk]) + query)


def shown(response: Any) -> list[str]:
    return WORDS.findall(response.content.decode())


def test_notes_are_listed_newest_first_with_what_became_of_them(
    client: Client, world: World
) -> None:
    hear(world, "First.")
    change_for(world, hear(world, "Second."))
    response = page(client, world)
    assert shown(response) == ["Second.", "First."]
    assert "led to change 2" in response.content.decode()


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("?state=open", ["Open."]),
        ("?state=led_to_change", ["Led."]),
        ("?state=settled", ["Better.", "Helped.", "Keep."]),
        ("?verdict=keep", ["Better.", "Keep."]),
        ("?state=open&verdict=keep", []),
    ],
)
def test_the_list_narrows(client: Client, world: World, query: str, expected: list[str]) -> None:
    hear(world, "Open.")
    hear(world, "Keep.", verdict="keep")
    helped = hear(world, "Helped.")
    led = hear(world, "Led.")
    hear_after(world, change_for(world, helped), "helped")
    change_for(world, led, device=world.mic)
    assert sorted(shown(page(client, world, query))) == expected


def test_the_list_narrows_to_a_session_and_a_rig(client: Client, world: World) -> None:
    session = ListeningSession.objects.create(
        production=world.production, name="Playback", held_on=date(2026, 9, 1)
    )
    hear(world, "There.", session=session)
    hear(world, "Elsewhere.")
    assert shown(page(client, world, f"?session={session.pk}&rig={world.rig.pk}")) == ["There."]


def test_a_filter_that_cannot_be_is_named(client: Client, world: World) -> None:
    hear(world, "Still here.")
    response = page(client, world, "?state=lost")
    assert response.context["filters"].errors == {
        "state": ["Select a valid choice. lost is not one of the available choices."]
    }
    assert shown(response) == ["Still here."]


def test_nothing_found_and_nothing_written_say_different_things(
    client: Client, world: World
) -> None:
    assert "Nothing written down yet" in page(client, world).content.decode()
    hear(world)
    found = page(client, world, "?verdict=reject").content.decode()
    assert "No note matches" in found


def test_only_those_who_may_write_are_offered_to(client: Client, world: World) -> None:
    start = reverse("notes:note_new", args=[world.production.pk, world.rig.pk])
    assert start in page(client, world, who="player").content.decode()
    assert start not in page(client, world, who="manager").content.decode()


def test_outsiders_get_404(client: Client, world: World) -> None:
    client.force_login(world.outsider)
    assert client.get(reverse("notes:index", args=[world.production.pk])).status_code == 404


def test_a_long_list_turns_over_by_key_and_back(client: Client, world: World) -> None:
    for number in range(SIZE + 3):
        hear(world, f"{number}")
    first = page(client, world, "?verdict=adjust")
    older = first.context["page"]["older_url"]
    assert "verdict=adjust" in older
    assert first.context["page"]["newer_url"] == ""
    second = page(client, world, older)
    assert shown(second) == ["2", "1", "0"]
    assert second.context["page"]["older_url"] == ""
    back = page(client, world, second.context["page"]["newer_url"])
    assert shown(back) == shown(first)
    assert back.context["page"]["newer_url"] == ""


def test_a_key_that_is_none_is_404(client: Client, world: World) -> None:
    assert page(client, world, "?before=nonsense").status_code == 404


@override_settings(KEPT_CHECKED=False)
@pytest.mark.parametrize("count", [1, 10, 100])
def test_queries_do_not_grow_with_the_notes(client: Client, world: World, count: int) -> None:
    for _ in range(count):
        hear(world, units=[world.unit])
    client.force_login(world.engineer)
    url = reverse("notes:index", args=[world.production.pk])
    client.get(url)
    KeptResult.objects.all().delete()
    assert queries_of(client, url) <= 25
    assert queries_of(client, url) <= 7  # the list itself is kept until something is written


@override_settings(KEPT_CHECKED=False)
def test_the_list_is_what_is_written_now(client: Client, world: World) -> None:
    note = hear(world, "First.")
    for query in ("", "?state=open", "?state=open&verdict=&rig="):
        assert shown(page(client, world, query)) == ["First."]
    hear(world, "Second.")
    assert shown(page(client, world)) == ["Second.", "First."]
    change_for(world, note)
    assert shown(page(client, world, "?state=open")) == ["Second."]
    world.people["crew"].language = "de"
    world.people["crew"].save()
    assert "führte zu Änderung 2" in page(client, world).content.decode()
