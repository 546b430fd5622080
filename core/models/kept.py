"""What was made once and is shown to many. For `core.kept` alone."""

from __future__ import annotations

from django.db import models

from core import clock
from core.models.productions import Production


class KeptResult(models.Model):
    """What something came to: of one production, until what it was made of is different.

    `name` says what was asked for, `stamp` what it was made of; both are digests (core.kept.shelf).
    There is one row of each name, so that what is out of date is replaced.
    """

    production = models.ForeignKey(Production, models.CASCADE, db_index=False, related_name="+")
    name = models.CharField(max_length=64)
    stamp = models.CharField(max_length=64)
    # Whatever is written in the production changes nothing of it.
    lasting = models.BooleanField(default=False)
    body = models.BinaryField()  # JSON, compressed
    size = models.PositiveIntegerField()  # bytes of it
    made_at = models.DateTimeField(default=clock.now, editable=False, db_index=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["production", "name"], name="kept_result_once")
        ]

    def __str__(self) -> str:
        return self.name[:12]
