"""What every kind of question knows: what it may be about, its form, and how it is answered."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING, Any, ClassVar

from django.http import QueryDict

from rigs.checks.bench import Bench
from rigs.whatif.answers import Subject, WhatIfAnswer
from rigs.whatif.forms import QuestionFields

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class Topic(ABC):
    """A kind of question: what it may be about, its form, and how it is answered.

    `key` stands in addresses; `nothing` is shown where the rig has nothing to ask about.
    """

    key: ClassVar[str]
    label: ClassVar[StrOrPromise]
    icon: ClassVar[str]
    nothing: ClassVar[StrOrPromise]
    question: ClassVar[type[QuestionFields]]

    @abstractmethod
    def subjects(self, bench: Bench) -> list[Subject]:
        """The things that one may ask about, in the order of the rig."""

    @abstractmethod
    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        """The values that the rig states already, for the form; what is not stated stays empty."""

    @abstractmethod
    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        """The answer to what was typed. Raises Unanswerable where that does not go together."""

    def known(self, bench: Bench, subject: str) -> WhatIfAnswer | None:
        """An answer that can be given before anything is asked; none by default."""
        return None

    def form(self, bench: Bench, subject: str, data: QueryDict, scale: str) -> QuestionFields:
        """The form: bound if the question was asked, else filled with what the rig states.

        `scale` is the scale of temperatures that the reader prefers.
        """
        known = self.initial(bench, subject) | {"about": self.key, "subject": subject}
        # Other kinds of question have other fields: what was typed for one is not read as
        # another’s.
        asked = data if "ask" in data and data.get("about") == self.key else None
        return self.question(asked, scale=scale, initial=known, auto_id="ask_%s")


class Unanswerable(ValueError):
    """What was typed does not go together; `field` is the field where that is shown, if any."""

    def __init__(self, field: str | None, message: str) -> None:
        self.field = field
        super().__init__(message)
