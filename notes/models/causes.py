"""A clip against the signed sound: how its takes scatter, causes taken up, how they turned out."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified, OfflineTimes
from core.personal.fields import PersonalCharField, PersonalTextField
from notes.models.clips import Clip
from notes.models.listening import Note
from notes.models.signing import SignOff

USER = settings.AUTH_USER_MODEL


class SignedScatter(Identified):
    """What takes of one signed sound have in common and how far they scatter. Never changed.

    Measured when somebody first asks, again where there are more takes or a better method; the
    newest counts.
    """

    APPEND_ONLY: ClassVar[bool] = True

    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="scatters")
    method = models.CharField(max_length=80)
    # SHA-256 of the working copies that were read, the signed one first.
    takes = models.JSONField()
    # Whether it is pieces of the one clip that were read, because there were not three.
    pieces = models.BooleanField(default=False)
    # The sound and its scatter, in dB (notes.causes.kept).
    figures = models.JSONField()
    measured_at = models.DateTimeField(default=clock.now, editable=False)
    # SHA-256 over the canonical JSON of all of the above and the seal of the sign-off.
    seal = models.CharField(max_length=64)

    class Meta:
        ordering = ["-measured_at"]
        verbose_name = gettext_lazy("scatter of a signed sound")
        verbose_name_plural = gettext_lazy("scatters of signed sounds")

    def __str__(self) -> str:
        return _("scatter of {sign_off}").format(sign_off=self.sign_off)


class NamedCause(OfflineTimes, Identified):
    """A cause that somebody took up from what was proposed for a clip. Never changed."""

    APPEND_ONLY: ClassVar[bool] = True

    clip = models.ForeignKey(Clip, models.PROTECT, related_name="named_causes")
    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="named_causes")
    # What it was written down as, and what a trial or a change is because of.
    note = models.OneToOneField(Note, models.PROTECT, related_name="named_cause")
    kind = models.CharField(max_length=40)  # key of notes.causes.kinds
    words = models.CharField(max_length=200)
    # Where it stood among the causes, from 1, and its share of the evidence, 0 to 1.
    place = models.PositiveSmallIntegerField()
    share = models.FloatField()
    method = models.CharField(max_length=80)
    by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("cause that was taken up")
        verbose_name_plural = gettext_lazy("causes that were taken up")

    def __str__(self) -> str:
        return self.words

    def get_absolute_url(self) -> str:
        return reverse("notes:cause", args=[self.clip.production_id, self.pk])


class CauseOutcome(OfflineTimes, Identified):
    """How a cause turned out, in the judgement of a person; the newest counts. Never changed."""

    APPEND_ONLY: ClassVar[bool] = True

    class Outcome(models.TextChoices):
        WAS = "was", gettext_lazy("it was that")
        WAS_NOT = "was_not", gettext_lazy("it was not that")
        UNDECIDED = "undecided", gettext_lazy("undecided")

    cause = models.ForeignKey(NamedCause, models.PROTECT, related_name="outcomes")
    outcome = models.CharField(
        gettext_lazy("how it turned out"), max_length=9, choices=Outcome.choices
    )
    words = PersonalTextField(
        person="by",
        blank=True,
        max_length=2000,
        help_text=gettext_lazy("And if it was something else, what."),
    )
    by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = gettext_lazy("outcome of a cause")
        verbose_name_plural = gettext_lazy("outcomes of causes")

    def __str__(self) -> str:
        return f"{self.cause}: {self.get_outcome_display()}"
