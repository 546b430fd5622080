"""Writing, rewording and settling a note in the pages."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import Leg, Membership, Player, Section, Show, Song
from notes.models import ListeningSession, Note
from tests.support.listening import change_for, hear
from tests.support.world import World, make_world


def new_url(world: World, query: str = "") -> str:
    return reverse("notes:note_new", args=[world.production.pk, world.rig.pk]) + query


def edit_url(world: World, note: Note) -> str:
    return reverse("notes:note_edit", args=[world.production.pk, note.pk])


def said(response: Any) -> list[str]:
    return [str(message) for message in get_messages(response.wsgi_request)]


@pytest.mark.parametrize("who", ["engineer", "tech", "player"])
def test_who_may_write_a_note_writes_one(client: Client, world: World, who: str) -> None:
    client.force_login(world.people[who])
    response = client.post(
        new_url(world),
        {"verdict": "adjust", "words": "Too boomy.", "inputs": [world.input.pk], "take": "Take 4"},
    )
    note = Note.objects.get()
    assert response.status_code == 302
    assert response.headers["Location"] == note.get_absolute_url()
    assert said(response) == ["The note is written down."]
    assert (note.words, note.written_by, note.take) == ("Too boomy.", world.people[who], "Take 4")
    assert list(note.inputs.all()) == [world.input]


@pytest.mark.parametrize("who", ["crew", "manager"])
def test_others_may_not(client: Client, world: World, who: str) -> None:
    client.force_login(world.people[who])
    assert client.get(new_url(world)).status_code == 403
    assert client.post(new_url(world), {"verdict": "keep", "words": "x"}).status_code == 403
    assert not Note.objects.exists()


def test_a_musician_speaks_for_themself(client: Client, world: World) -> None:
    client.force_login(world.people["player"])
    assert client.get(new_url(world)).context["form"].initial["said_by_player"] == world.player.pk


def test_a_musician_who_writes_about_anothers_rig_still_speaks_for_themself(
    client: Client, world: World
) -> None:
    drummer = Player.objects.create(
        production=world.production, name="Odd Reed", instrument="drums"
    )
    Membership.objects.filter(user=world.people["player"]).update(player=drummer)
    client.force_login(world.people["player"])
    assert client.get(new_url(world)).context["form"].initial["said_by_player"] == drummer.pk


def test_what_others_write_down_was_said_by_the_rigs_player(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    assert client.get(new_url(world)).context["form"].initial["said_by_player"] == world.player.pk


def test_somebody_else_named_takes_the_place_of_the_player_that_nobody_chose(
    client: Client, world: World
) -> None:
    client.force_login(world.engineer)
    posting = {"verdict": "adjust", "words": "Too boomy.", "said_by_name": "Monitor desk"}
    client.post(new_url(world), posting | {"said_by_player": str(world.player.pk)})
    note = Note.objects.get()
    assert (note.said_by_player, note.said_by_name) == (None, "Monitor desk")


def test_verdict_and_input_are_a_note_without_words(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    posting = {"verdict": "keep", "inputs": [str(world.input.pk)]}
    client.post(new_url(world), posting | {"said_by_player": str(world.player.pk)})
    note = Note.objects.get()
    assert (str(note), note.said_by_player) == ("keep, without words", world.player)
    page = client.get(note.get_absolute_url()).content.decode()
    assert "Keep, without words" in page
    assert str(world.player) in page


def test_the_form_begins_with_the_song_and_the_session_of_the_show(
    client: Client, world: World
) -> None:
    leg = Leg.objects.create(
        production=world.production,
        name="Spring",
        starts_on=date(2026, 3, 1),
        ends_on=date(2026, 3, 9),
    )
    show = Show.objects.create(
        leg=leg, room="Salt Hall", held_on=date(2026, 3, 1), mix_distance_m=20
    )
    at_show = ListeningSession.objects.create(
        production=world.production, name="Soundcheck", held_on=date(2026, 3, 1), show=show
    )
    song = Song.objects.create(production=world.production, title="Alder Ebb")
    client.force_login(world.engineer)
    form = client.get(new_url(world, f"?show={show.pk}&song={song.pk}")).context["form"]
    assert (form.initial["session"], form.initial["song"]) == (at_show.pk, song.pk)


def test_the_form_begins_with_the_input_and_todays_session(client: Client, world: World) -> None:
    today = ListeningSession.objects.create(
        production=world.production, name="Soundcheck", held_on=clock.now().date()
    )
    ListeningSession.objects.create(
        production=world.production, name="Old", held_on=date(2026, 1, 1)
    )
    client.force_login(world.engineer)
    form = client.get(new_url(world, f"?input={world.input.pk}&unit=rubbish")).context["form"]
    assert form.initial["session"] == today.pk
    assert form.initial["inputs"] == [world.input.pk]
    assert form.initial["units"] == []


def test_a_refused_note_keeps_what_was_typed(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    response = client.post(
        new_url(world), {"words": "Too boomy.", "said_by_name": "Monitor", "take": "Take 4"}
    )
    text = response.content.decode()
    assert response.status_code == 200
    assert response.context["form"].errors == {"verdict": ["This field is required."]}
    assert "Too boomy.</textarea>" in text
    assert 'value="Take 4"' in text
    assert not Note.objects.exists()


def test_errors_stand_at_their_field(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    response = client.post(new_url(world), {"verdict": "adjust", "words": " "})
    assert response.context["form"].errors == {
        "words": [
            "Say what was heard, in words or in a voice memo, or tick what the verdict is about: "
            "then words may be left out."
        ]
    }


def test_another_productions_things_cannot_be_picked(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    theirs = Song.objects.create(production=other.production, title="Theirs")
    client.force_login(world.engineer)
    response = client.post(
        new_url(world),
        {"verdict": "keep", "words": "x", "inputs": [other.input.pk], "song": theirs.pk},
    )
    assert set(response.context["form"].errors) == {"inputs", "song"}


def test_the_rig_of_another_production_is_404(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    client.force_login(world.engineer)
    url = reverse("notes:note_new", args=[world.production.pk, other.rig.pk])
    assert client.get(url).status_code == 404


def test_sections_are_offered_under_their_songs(client: Client, world: World) -> None:
    song = Song.objects.create(production=world.production, title="Alder Ebb")
    Section.objects.create(song=song, name="bridge")
    client.force_login(world.engineer)
    assert "Alder Ebb: bridge" in client.get(new_url(world)).content.decode()


def test_the_author_rewords_their_note(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    response = client.post(
        edit_url(world, note), {"version": 1, "verdict": "reject", "words": "Far too boomy."}
    )
    note.refresh_from_db()
    assert response.status_code == 302
    assert (note.words, note.verdict, note.version) == ("Far too boomy.", "reject", 2)


def test_somebody_elses_note_is_not_reworded(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    response = client.get(edit_url(world, note))
    assert response.headers["Location"] == note.get_absolute_url()
    assert said(response) == [
        f"Only {world.engineer} can reword this note. Write one of your own beside it."
    ]
    client.post(edit_url(world, note), {"version": 1, "verdict": "keep", "words": "Fine."})
    note.refresh_from_db()
    assert note.words == "Too boomy."


def test_a_change_made_meanwhile_keeps_what_was_typed(client: Client, world: World) -> None:
    note = hear(world)
    change_for(world, note)
    client.force_login(world.engineer)
    response = client.post(
        edit_url(world, note), {"version": 1, "verdict": "keep", "words": "On second thoughts."}
    )
    text = response.content.decode()
    assert response.status_code == 200
    assert "Change 2 was made because of this note" in text
    assert "On second thoughts.</textarea>" in text
    note.refresh_from_db()
    assert note.words == "Too boomy."


def test_a_form_opened_on_an_older_version_keeps_what_was_typed(
    client: Client, world: World
) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    client.post(edit_url(world, note), {"version": 1, "verdict": "adjust", "words": "First tab."})
    response = client.post(
        edit_url(world, note),
        {"version": 1, "verdict": "adjust", "words": "Second tab.", "units": [world.unit.pk]},
    )
    text = response.content.decode()
    assert "Someone else changed this while you were typing" in text
    assert "Second tab.</textarea>" in text
    assert "Now there: First tab." in text
    note.refresh_from_db()
    assert note.words == "First tab."


def test_a_note_is_settled_with_words(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.people["player"])
    url = reverse("notes:note_settle", args=[world.production.pk, note.pk])
    refused = client.post(url, {"settled_words": " "})
    assert refused.context["form"].errors == {"settled_words": ["This field is required."]}
    assert client.post(url, {"settled_words": "It was the room."}).status_code == 302
    note.refresh_from_db()
    assert (note.settled_words, note.settled_by) == ("It was the room.", world.people["player"])


def test_settling_twice_keeps_the_first_words_and_what_was_typed(
    client: Client, world: World
) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    url = reverse("notes:note_settle", args=[world.production.pk, note.pk])
    client.post(url, {"settled_words": "It was the room."})
    response = client.post(url, {"settled_words": "It was the cable."})
    assert response.status_code == 200
    assert "It was the cable.</textarea>" in response.content.decode()
    note.refresh_from_db()
    assert note.settled_words == "It was the room."
