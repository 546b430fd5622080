"""The set of one show: its lines in order, and who changed it when."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.durations import LONGEST_S
from core.models.base import Change, Identified
from core.models.songs import Song
from core.models.tours import Show


class ShowSet(Identified):
    """A set of its own that a show has; a show without one plays the songs of the production.

    Written by `core.sets.services` alone. `version` counts the changes.
    """

    show = models.OneToOneField(Show, models.PROTECT, related_name="own_set")
    target_s = models.PositiveIntegerField(
        gettext_lazy("length wanted"),
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    version = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["show__held_on", "pk"]
        verbose_name = "set of a show"
        verbose_name_plural = "sets of shows"

    def __str__(self) -> str:
        return f"Set of {self.show}"


class SetEntry(Identified):
    """One line of a set: a song, or what stands between songs."""

    class Kind(models.TextChoices):
        SONG = "song", pgettext_lazy("line of a set", "song")
        HEADING = "heading", pgettext_lazy("line of a set", "section")
        ENCORE = "encore", pgettext_lazy("line of a set", "encore")
        BREAK = "break", pgettext_lazy("line of a set", "break")
        NOTE = "note", pgettext_lazy("line of a set", "note")

    set = models.ForeignKey(ShowSet, models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.SONG)
    song = models.ForeignKey(
        Song, models.PROTECT, null=True, blank=True, default=None, related_name="set_entries"
    )
    # What a line says that is no song; empty for a song, which goes by its title.
    title = models.CharField(max_length=160, blank=True, default="")
    position = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    cut = models.BooleanField(gettext_lazy("cut: stays on the list, is not played"), default=False)
    reprise = models.BooleanField(gettext_lazy("reprise: played once more"), default=False)
    # The songs of a medley are the first one and those that follow straight on.
    joined = models.BooleanField(
        gettext_lazy("straight on from the song before (medley)"), default=False
    )
    note = models.CharField(max_length=200, blank=True, default="")
    # Where it is not that of the song.
    length_s = models.PositiveIntegerField(
        gettext_lazy("length at this show"),
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(LONGEST_S)],
    )

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = "line of a set"
        verbose_name_plural = "lines of sets"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind="song", song__isnull=False)
                | (~models.Q(kind="song") & models.Q(song__isnull=True)),
                name="set_line_names_its_song",
            )
        ]

    def __str__(self) -> str:
        return str(self.song) if self.song_id else self.title


class SetChange(Change):
    """Who made a set what it then was. `state` is the whole set after it (core.sets.state)."""

    set = models.ForeignKey(ShowSet, models.PROTECT, related_name="changes")
    number = models.PositiveIntegerField(editable=False)
    state = models.JSONField(default=dict, editable=False)

    class Meta:
        ordering = ["-number"]
        verbose_name = "change of a set"
        verbose_name_plural = "changes of sets"
        constraints = [
            models.UniqueConstraint(fields=["set", "number"], name="one_change_of_set_each_number")
        ]

    def __str__(self) -> str:
        return f"{self.set}, change {self.number}"
