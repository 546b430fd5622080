"""The tables of the search: a row of text for each thing that can be found, and the words in them.

The full-text indexes are added by migration.
"""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy

from core import clock
from core.models.productions import Production


class SearchEntry(models.Model):
    class Kind(models.TextChoices):
        NOTE = "note", gettext_lazy("listening note")
        CHANGE = "change", gettext_lazy("change")
        GEAR = "gear", gettext_lazy("gear")
        PEOPLE = "words", gettext_lazy("people’s words")
        SONG = "song", gettext_lazy("song")
        SHOW = "show", gettext_lazy("show or leg")
        PERSON = "person", gettext_lazy("person")
        CLIP = "clip", gettext_lazy("clip")
        PHOTO = "photo", gettext_lazy("photo")

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


class SearchWord(models.Model):
    """A word of the index under one of its pieces, by which a similar word finds it.

    Words that no entry has any more stay until the index is made anew; they find nothing.
    """

    production = models.ForeignKey(Production, models.CASCADE, related_name="+", db_index=False)
    piece = models.CharField(max_length=4)
    word = models.CharField(max_length=64)

    class Meta:
        indexes = [
            models.Index(fields=["production", "piece", "word"], name="search_word_by_piece"),
            models.Index(fields=["production", "word"], name="search_word"),
        ]

    def __str__(self) -> str:
        return self.word


class IndexedProduction(models.Model):
    """States with which CONTENTS of core.search.sources the index of a production was filled."""

    production = models.OneToOneField(
        Production, models.CASCADE, primary_key=True, related_name="+"
    )
    contents = models.PositiveIntegerField(help_text="The number of what there was to put in.")
    sources = models.PositiveIntegerField(
        default=0, help_text="Of how many sources all is in, while it is being filled."
    )

    UNFINISHED = 0  # contents while it is being filled

    def __str__(self) -> str:
        return f"{self.production}, contents {self.contents}"
