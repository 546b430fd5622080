"""Why what was typed into a page of lines in order was not written. Nothing is, then."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from core.sets.merge import Merged

S = TypeVar("S")


class LinesConflict(Exception, Generic[S]):
    """Somebody else changed the same thing since the page was made.

    `merged` has both sides, `theirs` the change that is newest, `version` what is there now.
    """

    SAID = _("Someone else changed this list, too.")

    def __init__(self, merged: Merged[S], theirs: Any, version: int) -> None:
        super().__init__(self.SAID)
        self.merged, self.theirs, self.version = merged, theirs, version


class LinesRefused(ValidationError):
    """What is wrong, by the id of the line it is wrong at (empty for the whole)."""

    def __init__(self, wrong: Mapping[str, str]) -> None:
        super().__init__(list(wrong.values()))
        self.wrong = wrong
