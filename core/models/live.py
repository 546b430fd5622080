"""Who is looking at what at this moment. Nothing here is history."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from core.models.base import Identified


class Presence(Identified):
    """One open page of one person. It is stale when it has not been heard of for a while."""

    topic = models.CharField(max_length=80)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    seen_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["topic", "seen_at"], name="presence_by_topic")]

    def __str__(self) -> str:
        return f"{self.user} at {self.topic}"
