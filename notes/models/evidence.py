"""Which clips let others hear what a change did, or what an alternative of a trial sounds like."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified
from notes.models.clips import Clip
from notes.models.trials import Alternative
from rigs.models import Revision


class ChangeClip(Identified):
    """A clip of one of the rig's inputs from before a change, or from after it."""

    class When(models.TextChoices):
        BEFORE = "before", gettext_lazy("before")
        AFTER = "after", gettext_lazy("after")

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="heard")
    clip = models.ForeignKey(Clip, models.PROTECT, related_name="changes")
    side = models.CharField(max_length=6, choices=When.choices)
    tied_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    tied_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["tied_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "clip"], name="clip_once_per_change")
        ]

    def __str__(self) -> str:
        return f"{self.clip}, {self.get_side_display()} {self.revision}"


class AlternativeClip(Identified):
    """A clip of a trial's input through one of the alternatives."""

    alternative = models.ForeignKey(Alternative, models.PROTECT, related_name="heard")
    # One to one: a recording is of one way to pick the input up.
    clip = models.OneToOneField(Clip, models.PROTECT, related_name="tried_as")
    tied_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    tied_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["tied_at", "pk"]

    def __str__(self) -> str:
        return f"{self.clip}, through {self.alternative}"
