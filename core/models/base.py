"""What every record of the notebook has in common."""

from __future__ import annotations

import uuid
from typing import Self, TypeVar

from django.db import models

from core import clock


class Identified(models.Model):
    """A record known outside the database by a stable, unguessable id."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


M = TypeVar("M", bound=models.Model)


class RetirableQuerySet(models.QuerySet[M]):
    def live(self) -> Self:
        return self.filter(retired_at=None)


class Retirable(Identified):
    """A record that is put away rather than deleted, because history may mention it.

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

    def bring_back(self) -> None:
        self.retired_at = None
        self.save(update_fields=["retired_at"])
