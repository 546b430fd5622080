"""What the record does: where it is heard on a release, and what to take from it for a player."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core import clock
from core.durations import LONGEST_S, format_duration
from core.models.base import Retirable, RetirableQuerySet
from core.models.productions import Player
from core.models.songs import Song


class Research(Retirable):
    """One place on a record, and what one player (or everybody) should take from it.

    Written before rehearsals, in the engineer's words; the player's own words on how the rig
    should sound stand beside it and are what is signed.
    """

    song = models.ForeignKey(Song, models.PROTECT, related_name="research")
    player = models.ForeignKey(
        Player,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="research",
        help_text=gettext_lazy("Leave empty for what concerns everybody."),
    )
    release = models.CharField(
        gettext_lazy("release"),
        max_length=200,
        blank=True,
        help_text=gettext_lazy(
            "Which recording, where it is not the song’s own reference recording."
        ),
    )
    from_s = models.PositiveIntegerField(
        pgettext_lazy("place on a record", "from"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    to_s = models.PositiveIntegerField(
        pgettext_lazy("place on a record", "to"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    does = models.TextField(
        gettext_lazy("what the record does there"),
        blank=True,
        max_length=2000,
        help_text=gettext_lazy("What is heard, as it is: which sound, how near, how wide."),
    )
    take = models.TextField(
        gettext_lazy("what to take from it"),
        max_length=2000,
        help_text=gettext_lazy("What this player’s sound should get."),
    )
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )
    written_at = models.DateTimeField(default=clock.now, editable=False)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["song__position", "song__title", "from_s", "written_at"]
        verbose_name_plural = "research"
        constraints = [
            # In the database, because forms are not the only writers: an import is another.
            models.CheckConstraint(
                condition=models.Q(from_s=None)
                | models.Q(to_s=None)
                | models.Q(to_s__gte=models.F("from_s")),
                name="research_ends_after_start",
                violation_error_message=gettext_lazy(
                    "The place on the record cannot end before it starts."
                ),
            )
        ]

    def __str__(self) -> str:
        return " ".join(self.take.split())[:60]

    @property
    def place(self) -> str:
        """“0:40 to 1:10”, “from 0:40”, or empty."""
        start, end = format_duration(self.from_s), format_duration(self.to_s)
        if start and end:
            return _("{start} to {end}").format(start=start, end=end)
        if start:
            return _("from {start}").format(start=start)
        return _("to {end}").format(end=end) if end else ""

    @property
    def recording(self) -> str:
        """The release, or else the song's own reference recording."""
        return self.release or self.song.reference

    def get_absolute_url(self) -> str:
        song = self.song
        return f"{reverse('core:song', args=[song.production_id, song.pk])}#research"
