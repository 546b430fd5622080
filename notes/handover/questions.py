"""Questions of a handover, and who owes the answers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from core.models.roles import Role
from notes.models import Handover, Question

# Who owes an answer that was asked of nobody in particular.
OWING = frozenset({Role.ENGINEER, Role.TECH})


def owes(question: Question, user: UUID, roles: Iterable[str]) -> bool:
    """Whether somebody of those roles is to answer it."""
    if question.owed_by_id is not None:
        return question.owed_by_id == user
    return not OWING.isdisjoint(roles)


def questions_of(handover: Handover | None) -> dict[UUID | None, list[Question]]:
    """The questions of a handover by player (None: the general part), with their answers. Two
    queries."""
    asked: Iterable[Question] = (
        Question.objects.filter(handover=handover)
        .select_related("asked_by", "player", "owed_by")
        .prefetch_related("answers__answered_by")
        if handover
        else []
    )
    by_player: dict[UUID | None, list[Question]] = defaultdict(list)
    for question in asked:
        by_player[question.player_id].append(question)
    return by_player


def unanswered(questions: Iterable[Question]) -> list[Question]:
    """Those without an answer, of questions that `questions_of` fetched. No queries."""
    return [question for question in questions if not question.answers.all()]
