"""Which production of this server is the demonstration, and what was written when it was loaded."""

from __future__ import annotations

from django.db import models

from core import clock
from core.models import Production


class Demonstration(models.Model):
    production = models.OneToOneField(Production, models.PROTECT, related_name="+")
    loaded_at = models.DateTimeField(default=clock.now, editable=False)
    # To notice what somebody wrote into it since. By table: its columns, how many rows, and the
    # SHA-256 of what stood in them.
    written = models.JSONField(default=dict, editable=False)

    def __str__(self) -> str:
        return f"{self.production}, loaded {self.loaded_at:%Y-%m-%d}"
