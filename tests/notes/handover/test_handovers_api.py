"""Published handovers by program: checked, read, said to be read, asked about, answered."""

from __future__ import annotations

import hashlib
from typing import Any
from uuid import uuid4

import pytest

from core.models import Production
from notes.models import Acknowledgement, Answer, PublishedHandover, Question
from tests.notes.handover.published_support import published
from tests.notes.handover.support import legs
from tests.support.pages import as_user
from tests.support.world import World, make_world


def test_the_api_hands_out_what_can_be_checked(world: World) -> None:
    made = published(world, legs(world)[0])
    client = as_user(world.people["crew"])
    listed = client.get(f"/api/v1/productions/{world.production.pk}/handovers/").json()["results"]
    assert [(row["number"], row["digest"]) for row in listed] == [(1, made.digest)]
    assert "content" not in listed[0]
    whole = client.get(f"/api/v1/handovers/{made.pk}/").json()
    assert hashlib.sha256(whole["content"].encode()).hexdigest() == whole["digest"]
    outside = as_user(world.outsider)
    assert outside.get(f"/api/v1/handovers/{made.pk}/").status_code == 404
    assert Production.objects.count() == 1


@pytest.fixture
def made(world: World) -> PublishedHandover:
    return published(world, legs(world)[0])


def send(world: World, who: str, url: str, **sent: Any) -> Any:
    client = as_user(world.people[who])
    return client.post(f"/api/v1/{url}/", sent, content_type="application/json")


def test_reading_is_said_and_shown(world: World, made: PublishedHandover) -> None:
    url = f"handovers/{made.pk}/reading"
    response = send(world, "crew", url, player=str(world.player.pk))
    assert response.status_code == 201, response.content
    sections = {row["title"]: row for row in response.json()["sections"]}
    assert sections["Ines Halloran"]["is_read"]
    assert not sections["General part"]["is_read"]
    assert sections["Ines Halloran"]["digest"] == made.sections[1]["digest"]
    assert Acknowledgement.objects.get().published == made
    assert send(world, "crew", url, player=str(world.player.pk)).status_code == 201
    assert Acknowledgement.objects.count() == 1
    assert send(world, "crew", url, player=None).status_code == 201
    rows = as_user(world.tech).get(f"/api/v1/{url}/").json()
    crew = next(row for row in rows if row["user"] == str(world.people["crew"].pk))
    assert (crew["waited_for"], [s["is_read"] for s in crew["sections"]]) == (True, [True, True])
    other = make_world("Elsewhere")
    refused = send(world, "crew", url, player=str(other.player.pk))
    assert (refused.status_code, list(refused.json()["fields"])) == (422, ["player"])
    assert send(world, "crew", url).status_code == 400
    assert send(other, "crew", url, player=None).status_code == 404


def test_a_question_is_asked_and_answered(world: World, made: PublishedHandover) -> None:
    url = f"handovers/{made.pk}/questions"
    asked = send(world, "crew", url, words="Which fuse?", player=str(world.player.pk))
    assert asked.status_code == 201, asked.content
    question = Question.objects.get()
    assert (asked.json()["id"], question.asked_by) == (str(question.pk), world.people["crew"])
    wrong = send(world, "crew", url, words="Hm?", owed_by=str(world.people["crew"].pk))
    assert (wrong.status_code, list(wrong.json()["fields"])) == (422, ["owed_by"])
    assert send(world, "crew", url, words=" ").status_code == 400
    answers = f"questions/{question.pk}/answers"
    assert send(world, "crew", answers, words="Me.").status_code == 403
    assert send(world, "tech", answers, words="Slow, 2 A.").status_code == 201
    assert Answer.objects.get().answered_by == world.tech
    (row,) = as_user(world.engineer).get(f"/api/v1/{url}/").json()
    assert [each["words"] for each in row["answers"]] == ["Slow, 2 A."]
    assert send(world, "tech", f"questions/{uuid4()}/answers", words="x").status_code == 404
    assert send(make_world("Elsewhere"), "tech", answers, words="x").status_code == 404
