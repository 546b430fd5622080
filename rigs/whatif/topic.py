"""What every kind of question knows: what it may be about, its form, and how it is answered."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django.http import QueryDict

from rigs.checks.bench import Bench
from rigs.whatif.answers import Subject, WhatIfAnswer
from rigs.whatif.forms import QuestionFields


class Topic(ABC):
    """`key` stands in addresses; `nothing` is said where the rig has nothing to ask about."""

    key: ClassVar[str]
    label: ClassVar[str]
    icon: ClassVar[str]
    nothing: ClassVar[str]
    question: ClassVar[type[QuestionFields]]

    @abstractmethod
    def subjects(self, bench: Bench) -> list[Subject]:
        """What one may ask about, in the order of the rig."""

    @abstractmethod
    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        """What the rig says already; what nobody has stated stays empty."""

    @abstractmethod
    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        """Raises Unanswerable where what was typed does not go together."""

    def known(self, bench: Bench, subject: str) -> WhatIfAnswer | None:
        """What can be said before anything is asked; nothing by default."""
        return None

    def form(self, bench: Bench, subject: str, data: QueryDict, scale: str) -> QuestionFields:
        """Bound if it was asked, filled with what the rig says otherwise; `scale` as the reader
        prefers temperatures."""
        known = self.initial(bench, subject) | {"about": self.key, "subject": subject}
        asked = data if "ask" in data and data.get("about") == self.key else None
        return self.question(asked, scale=scale, initial=known, auto_id="ask_%s")


class Unanswerable(ValueError):
    """The numbers do not go together; `field` is where that is said."""

    def __init__(self, field: str | None, message: str) -> None:
        self.field = field
        super().__init__(message)
