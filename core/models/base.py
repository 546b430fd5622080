"""What every record of the notebook has in common."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar, Self, TypeVar

from django.conf import settings
from django.db import models
from django.utils.translation import get_language

from core import clock
from core.authors import GuestAuthor
from core.moments import written
from core.personal.fields import PersonalCharField

if TYPE_CHECKING:
    from core.models.people import User


class Identified(models.Model):
    """A record known outside the database by a stable, unguessable id."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class OfflineTimes(models.Model):
    """Columns for what may have been written without a network; empty for what was sent at once.

    The moment of writing is in a column of the model's own.
    """

    # When the page was made that it was written on.
    page_at = models.DateTimeField(null=True, editable=False)
    arrived_at = models.DateTimeField(null=True, editable=False)
    # When the device said it was written, where that cannot be; then the arrival counts.
    device_said = models.DateTimeField(null=True, editable=False)

    class Meta:
        abstract = True

    def stamp(self, name: str) -> None:
        """Put down in `name` when it was written, and whether it waited."""
        for column, value in written().values(name).items():
            setattr(self, column, value)


# How each kind of change tells its sentences; filled by the modules that make them.
_TELLS: dict[type, Callable[[Any], list[str]]] = {}


class Change(OfflineTimes, Identified):
    """A line of a history: who changed something, when, and what in sentences. Never changed."""

    APPEND_ONLY: ClassVar[bool] = True

    words = models.JSONField(default=list, editable=False)  # sentences in English; shown as `told`
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    # As it was then: accounts change their names.
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        abstract = True

    @property
    def told(self) -> list[str]:
        """`words` in the language of the reader, as far as they are the program’s own."""
        tells = _TELLS.get(type(self))
        if tells is None or get_language() == settings.LANGUAGE_CODE:
            return list(self.words)
        return tells(self)

    @classmethod
    def told_by(cls, tells: Callable[[Any], list[str]]) -> Callable[[Any], list[str]]:
        """A decorator for the function that knows the sentences of this history."""
        _TELLS[cls] = tells
        return tells

    def put_down(self, by: User | GuestAuthor) -> None:
        """Store it as what `by` did at the moment that is being carried out."""
        self.by = None if isinstance(by, GuestAuthor) else by
        self.by_name = by.name
        self.stamp("at")
        self.save(force_insert=True)


M = TypeVar("M", bound=models.Model)


class RetirableQuerySet(models.QuerySet[M]):
    def live(self) -> Self:
        return self.filter(retired_at=None)


class Retirable(Identified):
    """A record that is retired rather than deleted, because history may mention it.

    `version` counts saves, so that a form opened on an older one notices.
    """

    retired_at = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    @property
    def is_retired(self) -> bool:
        return self.retired_at is not None

    def retire(self) -> None:
        self.retired_at = clock.now()
        self.save(update_fields=["retired_at"])

    def restore(self) -> None:
        self.retired_at = None
        self.save(update_fields=["retired_at"])
