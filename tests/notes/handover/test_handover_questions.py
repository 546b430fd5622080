"""Questions asked in a handover, and answered there."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from core.models import Leg
from core.models.roles import Role
from notes.handover import services
from notes.models import Answer, Question
from tests.notes.handover.support import legs
from tests.support.pages import as_user, at
from tests.support.world import World, make_world


def _ask(world: World, leg: Leg, words: str, who: str = "crew", player: Any = "") -> Any:
    client = as_user(world.people[who])
    return client.post(at(world, "notes:ask", leg.pk), {"words": words, "player": player})


def _question(world: World) -> Question:
    return services.ask(
        leg=legs(world)[0], user=world.people["crew"], words="Which fuse?", player=world.player
    )


def _answer(world: World, question: Question, words: str, who: str = "tech") -> Any:
    url = at(world, "notes:answer", question.pk)
    return as_user(world.people[who]).post(url, {"words": words})


@pytest.mark.parametrize("who", Role.values)
def test_every_member_asks_about_a_section(world: World, who: str) -> None:
    response = _ask(world, legs(world)[0], "Which fuse?", who, world.player.pk)
    asked = Question.objects.get()
    assert (asked.words, asked.asked_by, asked.player) == (
        "Which fuse?",
        world.people[who],
        world.player,
    )
    assert response.headers["Location"].endswith(f"#player-{world.player.pk}")


def test_a_question_about_the_general_part_has_no_player(world: World) -> None:
    _ask(world, legs(world)[0], "When is load-in?")
    assert Question.objects.get().player is None


def test_an_empty_question_is_refused_in_its_place(world: World) -> None:
    response = _ask(world, legs(world)[0], "  ", player=world.player.pk)
    assert response.status_code == 200
    section, general = response.context["talks"]
    assert section.form.errors == {"words": ["Write the question first."]}
    assert not general.form.is_bound


def test_a_question_that_is_too_long_keeps_what_was_typed(world: World) -> None:
    response = _ask(world, legs(world)[0], "y" * 2001)
    assert "y" * 2001 in response.content.decode()
    assert not Question.objects.exists()


def test_another_productions_player_is_refused(world: World) -> None:
    autumn, _ = legs(world)
    other = make_world("Elsewhere").player
    assert _ask(world, autumn, "Hm?", player=other.pk).status_code == 400
    with pytest.raises(ValidationError, match="no such player"):
        services.ask(leg=autumn, user=world.tech, words="Hm?", player=other)
    with pytest.raises(ValidationError, match="no such player"):
        services.acknowledge(leg=autumn, user=world.tech, player=other)


@pytest.mark.parametrize("who", ["engineer", "tech", "player"])
def test_those_who_know_answer_in_place(world: World, who: str) -> None:
    question = _question(world)
    response = _answer(world, question, "Slow, 2 A. A qualified person changes it.", who)
    answer = Answer.objects.get()
    assert (answer.question, answer.answered_by) == (question, world.people[who])
    page = as_user(world.people["crew"]).get(response.headers["Location"]).content.decode()
    assert "Slow, 2 A." in page


@pytest.mark.parametrize("who", ["crew", "manager"])
def test_others_do_not_answer(world: World, who: str) -> None:
    question = _question(world)
    assert _answer(world, question, "No idea.", who).status_code == 403
    page = as_user(world.people[who]).get(at(world, "notes:handover", question.handover.leg_id))
    assert "Add to the answer" not in page.content.decode()


def test_a_second_answer_adds_to_the_first(world: World) -> None:
    question = _question(world)
    _answer(world, question, "Slow.")
    _answer(world, question, "And 2 A.", "engineer")
    assert [a.words for a in question.answers.all()] == ["Slow.", "And 2 A."]


def test_an_empty_answer_is_refused_below_its_question(world: World) -> None:
    question = _question(world)
    response = _answer(world, question, "")
    (asked,) = response.context["talks"][0].asked
    assert asked.form.errors == {"words": ["Write the answer first."]}
    assert not Answer.objects.exists()


def test_outsiders_and_foreign_questions_are_not_found(world: World) -> None:
    question = _question(world)
    outside = as_user(world.outsider)
    assert outside.post(at(world, "notes:answer", question.pk), {"words": "x"}).status_code == 404
    assert outside.post(at(world, "notes:ask", question.handover.leg_id)).status_code == 404
    foreign = _question(make_world("Elsewhere"))
    assert _answer(world, foreign, "x").status_code == 404
    assert not Answer.objects.exists()
