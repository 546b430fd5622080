"""Photos of panels as they stood, compared with the documented ones, and what is to be turned back.

A check changes no rig. What it read stays as it was read; how far a knob is from what is documented
is worked out when it is shown, because the record may have changed since.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Show
from core.models.base import Identified, OfflineTimes
from rigs.models.photos import Photo, StoredPhoto
from rigs.models.units import Control


class PanelCheck(OfflineTimes, Identified):
    """One photo of now, laid on a photo with circles.

    `readings` has one entry for each marked control: `pin` and `control` (ids), `name`, `kind`,
    `shown` (the setting on the photo with circles), `travel` (the ends of the knob's, as on a clock
    face, empty for the usual), `turn` (degrees clockwise since then, of a
    fader's way as of a dial's sweep), `stands` (of a switch) or `reason` (why it cannot be told),
    `circle` and `seen` (where the cap is in the two pictures: see
    rigs.knob_check.laying). `plane` leads from the documented picture to the new one: nine numbers,
    row by row, for places in fractions of width and height.
    """

    reference = models.ForeignKey(Photo, models.PROTECT, related_name="checks")
    # As it was when it was compared: the photo in the rig may get another picture.
    before = models.ForeignKey(StoredPhoto, models.PROTECT, related_name="+")
    image = models.ForeignKey(StoredPhoto, models.PROTECT, related_name="+")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, default=None, related_name="panel_checks"
    )
    readings = models.JSONField(default=list, editable=False)
    plane = models.JSONField(default=list, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)  # as it was then
    at = models.DateTimeField(default=clock.now, editable=False)
    # Somebody's word that all of it is as documented, and in which change of the rig.
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, default=None, related_name="+"
    )
    confirmed_name = models.CharField(max_length=120, blank=True, default="", editable=False)
    confirmed_at = models.DateTimeField(null=True, default=None, editable=False)
    confirmed_in = models.PositiveIntegerField(null=True, default=None, editable=False)
    # The settings that were confirmed, by control; and those that were looked at by eye.
    confirmed_settings = models.JSONField(default=dict, editable=False)
    by_eye = models.JSONField(default=list, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = gettext_lazy("check of a panel")
        verbose_name_plural = gettext_lazy("checks of panels")
        constraints = [
            # The same photo may be sent again because an answer was lost.
            models.UniqueConstraint(fields=["reference", "image"], name="panel_checked_once")
        ]
        indexes = [models.Index(fields=["reference", "-at"], name="panel_checks_newest")]

    def __str__(self) -> str:
        return _("check of “{photo}”").format(photo=self.reference)


class TurnBack(OfflineTimes, Identified):
    """A control that a check found turned and that somebody is to turn back."""

    # Named in full: a method of Django's models is called `check`.
    panel_check = models.ForeignKey(PanelCheck, models.PROTECT, related_name="turn_backs")
    control = models.ForeignKey(Control, models.PROTECT, related_name="turn_backs")
    seen = models.CharField(max_length=120, blank=True, default="", editable=False)
    by_name = models.CharField(max_length=120, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField(default=clock.now, editable=False)
    done_at = models.DateTimeField(null=True, default=None, editable=False)
    done_name = models.CharField(max_length=120, blank=True, default="", editable=False)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name = gettext_lazy("control to be turned back")
        verbose_name_plural = gettext_lazy("controls to be turned back")
        constraints = [
            models.UniqueConstraint(fields=["panel_check", "control"], name="turned_back_once")
        ]

    def __str__(self) -> str:
        return _("turn back {control}").format(control=self.control)
