"""Questions in their place on a page, each with the form that answers it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from core.access.views import ProductionRequest
from core.models import User
from notes.handover.forms import AnswerForm, QuestionForm
from notes.handover.services import answerers
from notes.models import Question


@dataclass(frozen=True, slots=True)
class AskedQuestion:
    """A question with the form that answers it."""

    question: Question
    form: AnswerForm


@dataclass(frozen=True, slots=True)
class Talk:
    """A section with the form to ask about it, and the questions that were asked."""

    section: Any
    form: QuestionForm
    asked: list[AskedQuestion]


@dataclass(frozen=True, slots=True)
class RefusedForm:
    """A form that was not accepted, and where it stands: a question in the section of the player
    `place` (None: the general part), an answer below the question `place`."""

    form: QuestionForm | AnswerForm
    place: UUID | None


class Talking:
    """Makes the talk of each section of one page."""

    def __init__(self, request: ProductionRequest, refused: RefusedForm | None) -> None:
        self._production, self._refused = request.production, refused
        self._owing: list[User] = list(answerers(request.production))

    def about(
        self, section: Any, player: UUID | None, questions: Mapping[UUID | None, list[Question]]
    ) -> Talk:
        """The talk of one section; its `key` keeps the ids of the page's forms apart."""
        form = self._refused_form(QuestionForm, player)
        if form is None:
            form = QuestionForm(
                production=self._production, owing=self._owing, initial={"player": player}
            )
        # One form for each section and question stands on the page, and ids must not repeat.
        form.auto_id = f"ask-{section.key}-%s"
        return Talk(section, form, [self._asked(each) for each in questions.get(player, ())])

    def _asked(self, question: Question) -> AskedQuestion:
        form = self._refused_form(AnswerForm, question.pk) or AnswerForm()
        form.auto_id = f"answer-{question.pk}-%s"
        return AskedQuestion(question, form)

    def _refused_form(self, kind: type[Any], place: UUID | None) -> Any:
        refused = self._refused
        if refused and isinstance(refused.form, kind) and refused.place == place:
            return refused.form
        return None
