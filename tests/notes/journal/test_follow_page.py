"""After a change: did it help?"""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from notes.models import Note
from notes.states import NoteState, with_state
from tests.support.listening import change_for, hear
from tests.support.world import World, make_world


def url(world: World, note: Note, number: int = 2) -> str:
    return reverse("notes:note_follow", args=[world.production.pk, note.pk, number])


def test_the_outcome_settles_the_note(client: Client, world: World) -> None:
    note = hear(world)
    revision = change_for(world, note)
    client.force_login(world.people["player"])
    response = client.post(
        url(world, note), {"outcome": "helped", "verdict": "keep", "words": "There it is."}
    )
    after = Note.objects.get(follows=revision)
    assert response.headers["Location"] == note.get_absolute_url()
    assert (after.outcome, after.words, after.heard_at) == ("helped", "There it is.", 2)
    assert with_state(Note.objects.filter(pk=note.pk)).get().state == NoteState.SETTLED  # type: ignore[attr-defined]


def test_one_listens_again_to_what_was_heard_before(client: Client, world: World) -> None:
    note = hear(world, units=[world.unit])
    change_for(world, note)
    client.force_login(world.engineer)
    response = client.get(url(world, note))
    assert response.context["form"].initial["inputs"] == [world.input.pk]
    assert response.context["form"].initial["units"] == [world.unit.pk]
    assert "Corvane Eskvane 4" in response.content.decode()


def test_an_outcome_is_required_and_what_was_typed_is_kept(client: Client, world: World) -> None:
    note = hear(world)
    change_for(world, note)
    client.force_login(world.engineer)
    response = client.post(url(world, note), {"verdict": "keep", "words": "There it is."})
    assert response.context["form"].errors == {"outcome": ["This field is required."]}
    assert "There it is.</textarea>" in response.content.decode()
    assert Note.objects.count() == 1


def test_a_change_that_was_not_made_because_of_it_has_no_outcome_here(
    client: Client, world: World
) -> None:
    note = hear(world)
    world.turn("3:00")
    client.force_login(world.engineer)
    response = client.get(url(world, note))
    assert response.headers["Location"] == note.get_absolute_url()
    assert [str(m) for m in get_messages(response.wsgi_request)] == [
        "Change 2 was not made because of this note."
    ]


@pytest.mark.parametrize(("who", "status"), [("crew", 403), ("manager", 403), ("tech", 200)])
def test_who_may_say_so(client: Client, world: World, who: str, status: int) -> None:
    note = hear(world)
    change_for(world, note)
    client.force_login(world.people[who])
    assert client.get(url(world, note)).status_code == status


def test_another_productions_note_is_404(client: Client, world: World) -> None:
    other: Any = make_world("Elsewhere")
    note = hear(other)
    change_for(other, note)
    client.force_login(world.engineer)
    assert client.get(url(world, note)).status_code == 404
