"""Requests that were carried out, so that a repeated one is answered and not done again."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from core import clock


class DoneRequest(models.Model):
    """Written in the same transaction as what the request did: either both are there or neither."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    key = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)  # SHA-256 of where it went and what it said
    location = models.TextField(default="", blank=True)  # where the answer leads
    at = models.DateTimeField(default=clock.now, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "key"], name="request_done_once")]

    def __str__(self) -> str:
        return f"{self.key} of {self.user}"
