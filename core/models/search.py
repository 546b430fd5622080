"""One row of findable text per thing worth finding; full-text indexes are added by migration."""

from __future__ import annotations

from django.db import models

from core import clock
from core.models.productions import Production


class SearchEntry(models.Model):
    class Kind(models.TextChoices):
        NOTE = "note", "listening note"
        CHANGE = "change", "change"
        GEAR = "gear", "gear"
        PEOPLE = "words", "people’s words"

    production = models.ForeignKey(Production, models.CASCADE, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    subject = models.UUIDField()
    title = models.CharField(max_length=240)
    body = models.TextField(blank=True)
    path = models.CharField(max_length=300)
    at = models.DateTimeField(default=clock.now)
    # Title and body as core.search.words reads them; the full-text indexes stand on these.
    title_words = models.TextField(default="", editable=False)
    body_words = models.TextField(default="", editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "subject"], name="search_entry_once")
        ]

    def __str__(self) -> str:
        return self.title
