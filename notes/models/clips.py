"""Clips: short pieces of sound kept as evidence, each tied to an input at one exact revision."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Production, Section, Song
from core.models.base import Retirable, RetirableQuerySet
from notes.listening.beginning import Beginning
from notes.models.listening import ListeningSession, Note
from rigs.models import Input, Revision, Rig


class StoredSound(models.Model):
    """The bytes of an uploaded sound as they came, kept once per production under their SHA-256.

    What a file says of itself (`bext` in a broadcast wave, EBU Tech 3285) is kept in `said`.
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="sounds")
    sha256 = models.CharField(max_length=64, editable=False)
    bytes = models.PositiveBigIntegerField(editable=False)
    name = models.CharField(gettext_lazy("file name"), max_length=200, editable=False)
    # Container and coding, as found in the bytes: “wav/pcm_s24le”, never taken from the name.
    format = models.CharField(max_length=60, editable=False)
    rate_hz = models.PositiveIntegerField(editable=False)
    channels = models.PositiveIntegerField(editable=False)
    seconds = models.DecimalField(max_digits=10, decimal_places=4, editable=False)
    said = models.JSONField(default=dict, editable=False)
    # What is known of where it begins (notes.listening.beginning). Empty: not looked at yet.
    beginning = models.CharField(
        max_length=8,
        blank=True,
        default="",
        editable=False,
        choices=[(each.value, each.value) for each in Beginning],
    )
    # Peak, rms and outline of each channel, and what is odd about it (notes.clips.survey).
    found = models.JSONField(default=dict, editable=False)
    brought_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    brought_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["production", "sha256"], name="sound_kept_once")
        ]

    def __str__(self) -> str:
        return self.name or self.sha256[:12]

    @property
    def kind(self) -> str:
        """The container, as notes.clips.formats names it."""
        return self.format.partition("/")[0]


class Clip(Retirable):
    """A section of one or two channels of a stored sound, and what it is a recording of.

    `working` names a lossless FLAC of exactly this section and these channels, 24 bit at the
    original rate; `preview` a small compressed copy for slow links. What goes over full scale is
    turned down to fit: `gain_db`, 0 or less. `figures` are what notes.listening measured on the
    working copy, by `method`; an older method's figures are measured again. Where somebody signed
    the clip, `earlier_figures` keeps what they said before: method, figures and until when.
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="clips")
    sound = models.ForeignKey(StoredSound, models.PROTECT, related_name="clips")
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="clips")
    input = models.ForeignKey(Input, models.PROTECT, related_name="clips")
    # The rig as it was when this was recorded.
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="clips")
    song = models.ForeignKey(Song, models.PROTECT, null=True, blank=True, related_name="clips")
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    session = models.ForeignKey(
        ListeningSession, models.PROTECT, null=True, blank=True, related_name="clips"
    )
    note = models.ForeignKey(
        Note,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="clips",
        help_text=gettext_lazy("The listening note that this clip belongs to."),
    )
    name = models.CharField(max_length=120, help_text=gettext_lazy("What it is called in lists."))
    take = models.CharField(
        max_length=120, blank=True, help_text=gettext_lazy("Take 4, 1:12 to 1:40.")
    )
    words = models.TextField(blank=True, max_length=2000)
    # Which channels of the sound, from 1; the second is empty for a clip of one channel.
    left = models.PositiveIntegerField(
        gettext_lazy("channel"), default=1, validators=[MinValueValidator(1)]
    )
    right = models.PositiveIntegerField(
        gettext_lazy("second channel"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    starts_s = models.DecimalField(
        gettext_lazy("from, s"),
        max_digits=10,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(0)],
    )
    seconds = models.DecimalField(gettext_lazy("length, s"), max_digits=10, decimal_places=4)
    recorded_at = models.DateTimeField(null=True, blank=True)
    gain_db = models.FloatField(default=0.0, editable=False)
    # SHA-256 of the two copies, by which the storage keeps them.
    working = models.CharField(max_length=64, editable=False)
    working_bytes = models.PositiveBigIntegerField(editable=False)
    preview = models.CharField(max_length=64, editable=False)
    preview_bytes = models.PositiveBigIntegerField(editable=False)
    method = models.CharField(max_length=60, editable=False)
    figures = models.JSONField(default=dict, editable=False)
    earlier_figures = models.JSONField(default=list, editable=False)
    brought_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    brought_at = models.DateTimeField(default=clock.now, editable=False)

    # Not a column. True on a clip that was asked for again and is the one there was already.
    was_there = False

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["-brought_at"]
        indexes = [
            models.Index(fields=["production", "-brought_at"], name="clip_newest_first"),
            models.Index(fields=["input", "-brought_at"], name="clip_of_input"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("notes:clip", args=[self.production_id, self.pk])
