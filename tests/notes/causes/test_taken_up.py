"""A person decides: taking a cause up, what it leads to, how it turned out, and the counts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models.roles import Role
from notes.causes.signed import against_signed
from notes.causes.taken_up import Tally, say_outcome, take_up, tallies
from notes.models import CauseOutcome, Clip, NamedCause, Note, Trial
from rigs.models import Revision
from tests.notes.causes.nights import signed_clip, thin_night
from tests.support.api import api
from tests.support.pages import as_user
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def _engineer(world: World) -> Client:
    return as_user(world.engineer)


def _night(world: World) -> Clip:
    signed_clip(world)
    return thin_night(world)


def _address(world: World, clip: Clip) -> str:
    return reverse("notes:clip_changed", args=[world.production.pk, clip.pk])


def _taken_up(world: World, clip: Clip, kind: str = "high_pass") -> NamedCause:
    return take_up(against_signed(clip), kind, by=world.engineer)


def test_it_is_taken_up_once_however_often_it_is_asked_for(world: World) -> None:
    night = _night(world)
    one = _taken_up(world, night)
    assert (one.place, one.clip, one.kind) == (1, night, "high_pass")
    assert one == _taken_up(world, night)
    assert Note.objects.filter(named_cause=one).count() == 1
    for key in ("nothing", "none", "no such kind"):
        with pytest.raises(ValidationError):
            _taken_up(world, night, key)


def test_a_trial_begins_with_the_note_and_the_question_filled_in(world: World) -> None:
    night, client = _night(world), _engineer(world)
    asked = {"cause": "high_pass", "then": "trial"}
    page = client.post(_address(world, night), asked, follow=True)
    form = page.context["form"]
    named = NamedCause.objects.get()
    assert form["question"].value() == f"Is it this? {named.words}"
    assert form["because_of"].value() == [str(named.note_id)]
    client.post(
        page.request["PATH_INFO"],
        {"question": form["question"].value(), "because_of": form["because_of"].value()},
    )
    assert list(Trial.objects.get().because_of.all()) == [named.note]


def test_a_change_begins_with_its_reason_and_the_clip_of_before(world: World) -> None:
    night, client = _night(world), _engineer(world)
    asked = {"cause": "high_pass", "then": "change"}
    page = client.post(_address(world, night), asked, follow=True)
    named, form = NamedCause.objects.get(), page.context["form"]
    assert page.request["PATH_INFO"].endswith(f"/inputs/{night.input_id}/")
    assert form["reason_words"].value() == f"Could be: {named.words}."
    assert form["heard_before"].value() == str(night.pk)
    assert form["because"].value() == [named.note_id]
    assert not Revision.objects.filter(number__gt=world.rig.head_number).exists()


def test_whoever_may_not_change_the_rig_writes_it_down_all_the_same(world: World) -> None:
    night, client = _night(world), as_user(world.people[Role.PLAYER])
    page = client.get(_address(world, night)).content.decode()
    assert "Only write it down" in page
    assert "Change something because of it" not in page
    answer = client.post(_address(world, night), {"cause": "high_pass", "then": "change"})
    assert answer["Location"] == NamedCause.objects.get().get_absolute_url()
    crew = as_user(world.people[Role.CREW])
    assert crew.post(_address(world, night), {"cause": "gain"}).status_code == 403


def test_how_it_turned_out_is_remembered_with_who_said_so_and_counted(world: World) -> None:
    night, client = _night(world), _engineer(world)
    named = _taken_up(world, night)
    url = named.get_absolute_url()
    bad = client.post(url, {"outcome": "", "words": "Looked at it."})
    assert bad.status_code == 400
    assert "Looked at it." in bad.content.decode()
    client.post(url, {"outcome": "was_not", "words": "The filter was out."})
    client.post(url, {"outcome": "was", "words": "It was in after all."})
    client.post(url, {"outcome": "was", "words": "It was in after all."})
    assert CauseOutcome.objects.count() == 2
    page = client.get(url).content.decode()
    assert page.index("It was in after all.") < page.index("The filter was out.")
    tonight = " ".join(client.get(_address(world, night)).content.decode().split())
    assert "Said once here: 1 was it." in tonight
    assert "it was that" in tonight
    note = client.get(named.note.get_absolute_url()).content.decode()
    assert url in note
    with pytest.raises(DatabaseError), transaction.atomic():
        CauseOutcome.objects.update(outcome="was_not")


def test_the_counts_are_of_the_newest_word_on_each(world: World) -> None:
    signed_clip(world)
    nights = [thin_night(world, 1), thin_night(world, 5, "Two"), thin_night(world, 6, "Three")]
    named = [_taken_up(world, each) for each in nights]
    for each, said in zip(named, ("was", "was", "was_not"), strict=True):
        say_outcome(each, said, "", by=world.engineer)
    say_outcome(named[0], "undecided", "Not so sure.", by=world.engineer)
    assert dict(tallies(world.production)) == {"high_pass": Tally(3, 1, 1)}
    assert Tally(3, 1, 1).words == "Said 3 times here: 1 was it, 1 was not, 1 undecided."
    assert Tally(4, 3, 1).words == "Said 4 times here: 3 were it, 1 was not."
    assert Tally().words == ""


def test_the_list_costs_the_same_for_many(world: World) -> None:
    signed_clip(world)
    client, url = _engineer(world), reverse("notes:causes", args=[world.production.pk])
    assert "No cause was taken up yet" in client.get(url).content.decode()
    night = thin_night(world)
    _taken_up(world, night)
    with CaptureQueriesContext(connection) as one:
        client.get(url)
    _taken_up(world, night, "gain")
    say_outcome(_taken_up(world, night, "strings"), "was", "", by=world.engineer)
    with CaptureQueriesContext(connection) as three:
        page = client.get(url).content.decode()
    assert len(one) == len(three)
    assert "Old strings, or new ones" in page


def test_the_same_over_the_api(world: World) -> None:
    night, client = _night(world), api(world.engineer)
    made = client.post(f"/api/v1/clips/{night.pk}/changed/", {"cause": "high_pass"}, format="json")
    assert made.status_code == 201
    assert made.json()["outcome"] == "undecided"
    url = f"/api/v1/causes/{made.json()['id']}/outcomes/"
    assert client.post(url, {"outcome": "perhaps"}, format="json").status_code == 400
    said = client.post(url, {"outcome": "was", "words": "Out again."}, format="json")
    assert said.status_code == 201
    listed = client.get(f"/api/v1/productions/{world.production.pk}/causes/?kind=high_pass").json()
    assert [each["outcomes"][0]["words"] for each in listed["results"]] == ["Out again."]
    told = client.get(f"/api/v1/clips/{night.pk}/changed/").json()["causes"][0]
    assert (told["said"], told["was"], told["was_not"]) == (1, 1, 0)
    wrong = client.post(f"/api/v1/clips/{night.pk}/changed/", {"cause": "none"}, format="json")
    assert wrong.status_code == 422
    crew = api(world.people[Role.CREW])
    assert crew.post(url, {"outcome": "was"}, format="json").status_code == 403
