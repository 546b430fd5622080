"""One note: its words apart from the reading, and the thread of what came of it."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from notes.journal.services import settle
from notes.models import Note
from tests.support.listening import change_for, hear, hear_after, open_a_trial, turn_for
from tests.support.world import World, make_world


def page(client: Client, world: World, note: Note, who: str = "engineer") -> Any:
    client.force_login(world.people[who])
    return client.get(reverse("notes:note", args=[world.production.pk, note.pk]))


def test_the_words_and_the_reading_are_both_there_and_apart(client: Client, world: World) -> None:
    found = page(client, world, hear(world, "I vanish.", reading="Build-up near 200 Hz."))
    text = found.content.decode()
    assert '<blockquote translate="no">I vanish.</blockquote>' in text
    assert f"What it means, as {world.engineer} reads it" in text
    assert world.player.name in text


def test_note_change_and_outcome_are_one_thread(client: Client, world: World) -> None:
    note = hear(world)
    revision = change_for(world, note)
    hear_after(world, revision, "helped", words="There it is.")
    response = page(client, world, note)
    (entry,) = response.context["thread"].changes
    assert [line.short for line in entry.shown] == [
        "Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4"
    ]
    assert [after.words for after in entry.follow_ups] == ["There it is."]
    assert "Less of the box." in response.content.decode()


def test_after_a_change_the_page_asks_how_it_turned_out(client: Client, world: World) -> None:
    note = hear(world)
    change_for(world, note)
    ask = reverse("notes:note_follow", args=[world.production.pk, note.pk, 2])
    assert ask in page(client, world, note).content.decode()
    assert ask in page(client, world, note, "player").content.decode()
    crew = page(client, world, note, "crew").content.decode()
    assert ask not in crew
    assert "How did it turn out?" in crew


def test_a_follow_up_shows_what_was_heard_before(client: Client, world: World) -> None:
    note = hear(world)
    after = hear_after(world, change_for(world, note), "worse")
    response = page(client, world, after)
    assert list(response.context["thread"].before) == [note]
    assert "After change 2" in response.content.decode()


@pytest.mark.parametrize(
    ("who", "offered"),
    [
        ("engineer", {"note_change", "note_settle", "note_edit"}),
        ("tech", {"note_change", "note_settle"}),
        ("player", {"note_settle"}),
        ("crew", set()),
        ("manager", set()),
    ],
)
def test_each_role_is_offered_what_it_may_do(
    client: Client, world: World, who: str, offered: set[str]
) -> None:
    note = hear(world)
    text = page(client, world, note, who).content.decode()
    names = ("note_change", "note_settle", "note_edit")
    place = [world.production.pk, note.pk]
    assert {n for n in names if f'"{reverse(f"notes:{n}", args=place)}"' in text} == offered


def test_a_settled_note_offers_nothing_more(client: Client, world: World) -> None:
    note = settle(note=hear(world), words="It was the room.", by=world.tech)
    text = page(client, world, note).content.decode()
    assert "It was the room." in text
    assert reverse("notes:note_change", args=[world.production.pk, note.pk]) not in text


def test_a_note_that_led_to_a_change_is_not_offered_for_rewording(
    client: Client, world: World
) -> None:
    note = hear(world)
    change_for(world, note)
    assert page(client, world, note).context["may_reword"] is False


def test_trials_that_look_into_it_are_shown(client: Client, world: World) -> None:
    note = hear(world)
    trial = open_a_trial(world, note)
    assert list(page(client, world, note).context["trials"]) == [trial]


def test_hostile_words_are_shown_as_words(client: Client, world: World) -> None:
    evil = "<script>alert(1)</script>"
    note = hear(world, evil, reading=evil, take=evil, said_by_player=None, said_by_name=evil)
    settle(note=note, words=evil, by=world.tech)
    text = page(client, world, note).content.decode()
    assert evil not in text
    assert text.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 5


def test_another_productions_note_is_404(client: Client, world: World) -> None:
    foreign = hear(make_world("Elsewhere"))
    assert page(client, world, foreign).status_code == 404


@pytest.mark.parametrize("count", [1, 5])
def test_queries_do_not_grow_with_the_thread(
    client: Client, world: World, count: int, django_assert_num_queries: Any
) -> None:
    note = hear(world)
    for at in range(count):
        hear_after(world, turn_for(world, f"{9 + at % 3}:30", note), "same")
    client.force_login(world.engineer)
    with django_assert_num_queries(23):
        client.get(reverse("notes:note", args=[world.production.pk, note.pk]))
