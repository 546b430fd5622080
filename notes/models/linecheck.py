"""The line check of one show: what was found at each input, in the order of the channels.

What holds for the day (a substitute, an input not used) is a ShowInput of rigs; a mark keeps what
was found then, so that the report of the show stays true when the list moves on.
"""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Show
from core.models.base import Identified, OfflineTimes
from notes.models.signing import SignOff
from rigs.models import Device, Input, Revision
from rigs.models.shows import WHY

USER = settings.AUTH_USER_MODEL


class LineCheck(Identified):
    """The line check of a show. The first mark opens it; closing says who was told, and repairs."""

    show = models.OneToOneField(Show, models.PROTECT, related_name="line_check")
    opened_by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    opened_at = models.DateTimeField(default=clock.now, editable=False)
    closed_by = models.ForeignKey(USER, models.PROTECT, null=True, related_name="+", editable=False)
    closed_at = models.DateTimeField(null=True, editable=False)
    closed_arrived_at = models.DateTimeField(null=True, editable=False)  # if it waited
    who_was_told = models.TextField(
        blank=True,
        max_length=1000,
        help_text=gettext_lazy("The player, the monitor desk, the hire firm …"),
    )
    to_repair = models.TextField(gettext_lazy("what to repair"), blank=True, max_length=2000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return _("Line check, {show}").format(show=self.show)

    def get_absolute_url(self) -> str:
        return reverse("notes:line_check", args=[self.show.leg.production_id, self.show_id])

    @property
    def is_finished(self) -> bool:
        return self.closed_at is not None


class LineCheckMark(OfflineTimes, Identified):
    """What was found at one input. `why` is empty until somebody has said it."""

    class State(models.TextChoices):
        OK = "ok", gettext_lazy("ok")
        DEVIATES = "deviates", gettext_lazy("changed")
        ABSENT = "absent", gettext_lazy("not used")

    line_check = models.ForeignKey(LineCheck, models.PROTECT, related_name="marks")
    input = models.ForeignKey(Input, models.PROTECT, related_name="line_check_marks")
    state = models.CharField(max_length=8, choices=State.choices)
    why = models.CharField(max_length=16, choices=WHY, blank=True)
    words = models.CharField(gettext_lazy("in a few words"), max_length=500, blank=True)
    # What stood in that day, and for what; one sentence a line of what there was to mind.
    device = models.ForeignKey(Device, models.PROTECT, null=True, related_name="+", editable=False)
    instead_of = models.ForeignKey(
        Device, models.PROTECT, null=True, related_name="+", editable=False
    )
    to_mind = models.TextField(blank=True, editable=False)
    # The player's signature whose sound was not there that day. It names one exact change.
    departs_from = models.ForeignKey(
        SignOff, models.PROTECT, null=True, related_name="+", editable=False
    )
    # The change that made the rig what it was that day.
    permanent = models.ForeignKey(
        Revision, models.PROTECT, null=True, related_name="+", editable=False
    )
    by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(fields=["line_check", "input"], name="one_mark_of_input")
        ]

    def __str__(self) -> str:
        return f"{self.input}: {self.get_state_display()}"

    @property
    def is_unexplained(self) -> bool:
        """Whether somebody still has to say what and why."""
        return self.state != self.State.OK and not (self.why and self.words)

    @property
    def is_substitute(self) -> bool:
        return self.device_id is not None

    @property
    def cautions(self) -> list[str]:
        return self.to_mind.splitlines()

    def clean(self) -> None:
        if self.input.rig.production_id != self.line_check.show.leg.production_id:
            raise ValidationError(_("That input belongs to another production."))


# What is written at every press during a check. Only the pages of the check and the cards of shows
# read any of it: all else that is kept need not be made anew for it (core.kept).
OF_LINE_CHECKS = (LineCheck, LineCheckMark)
