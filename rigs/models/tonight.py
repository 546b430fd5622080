"""What is other about a unit at one show, or from a show to the end of its leg.

The rig stays as it is documented; a row here holds only what differs. Rows are never deleted: one
that was taken back still says what was tried in place of a unit, and how it did.
"""

from __future__ import annotations

from collections.abc import Mapping

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Show
from core.models.base import Change, Identified, OfflineTimes
from rigs.gear import gear_choices
from rigs.gear.gauges import parse_gauges
from rigs.midi import CHANNELS, DATA
from rigs.models.parts import within
from rigs.models.photos import StoredPhoto
from rigs.models.revisions import Revision
from rigs.models.shows import WHY
from rigs.models.songs import MESSAGE, message_problem
from rigs.models.units import Unit
from rigs.radio import LONGEST, tidy_radio
from rigs.settings_of_controls import STYLE_CHOICES, Style, tidy_setting


class UnitAtShow(OfflineTimes, Identified):
    """A unit that is another one at a show, is set differently, or is as documented again."""

    class What(models.TextChoices):
        SET = "set", gettext_lazy("set differently")
        REPLACED = "replaced", gettext_lazy("another unit")
        DOCUMENTED = "documented", gettext_lazy("as documented again")

    class Lasts(models.TextChoices):
        SHOW = "show", gettext_lazy("this show only")
        LEG = "leg", gettext_lazy("from this show to the end of the leg")

    class Fared(models.TextChoices):
        UNSAID = "", gettext_lazy("not said yet")
        OK = "ok", gettext_lazy("did well")
        NOT = "not", gettext_lazy("did not do")

    show = models.ForeignKey(Show, models.PROTECT, related_name="unit_differences")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="at_shows")
    what = models.CharField(max_length=10, choices=What.choices, default=What.SET)
    lasts = models.CharField(
        gettext_lazy("for how long"), max_length=4, choices=Lasts.choices, default=Lasts.SHOW
    )
    # What came instead; empty unless it is another unit.
    gear = models.CharField(
        gettext_lazy("kind of gear"), max_length=24, choices=gear_choices, blank=True, default=""
    )
    maker = models.CharField(max_length=80, blank=True, default="")
    model = models.CharField(
        gettext_lazy("model, in your words"),
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy("As on its front."),
    )
    serial = models.CharField(
        gettext_lazy("serial number or label"), max_length=80, blank=True, default=""
    )
    from_whom = models.CharField(
        gettext_lazy("hired or borrowed from"), max_length=120, blank=True, default=""
    )
    photo = models.ForeignKey(
        StoredPhoto, models.PROTECT, null=True, blank=True, default=None, related_name="+"
    )
    # Empty is as documented.
    tuning = models.CharField(max_length=80, blank=True, default="")
    strings = models.CharField(
        gettext_lazy("gauges of its strings"),
        max_length=160,
        blank=True,
        default="",
        help_text=gettext_lazy("In order: 10 13 17 26w 36w 46w, or 0.25 0.33 0.43 mm."),
    )
    stage_position = models.CharField(
        gettext_lazy("place on stage"), max_length=80, blank=True, default=""
    )
    radio = models.CharField(
        gettext_lazy("RF channel or frequency"),
        max_length=LONGEST,
        blank=True,
        default="",
        help_text=gettext_lazy("863.125, 863,1 MHz, G12 ch 4, or both with a comma between."),
    )
    pack = models.CharField(
        gettext_lazy("pack"),
        max_length=40,
        blank=True,
        default="",
        help_text=gettext_lazy("Its number."),
    )
    session = models.CharField(
        max_length=120,
        blank=True,
        default="",
        help_text=gettext_lazy("What is loaded, with its version: Spring set, version 14."),
    )
    midi_channel = models.PositiveSmallIntegerField(
        gettext_lazy("MIDI channel"),
        null=True,
        blank=True,
        default=None,
        validators=within(CHANNELS, gettext_lazy("A MIDI channel is {low} to {high}.")),
    )
    # By the id of a MIDI message of a song: its numbers at the show, None where it is not sent. No
    # keys of tables: a message that the rig has no more is passed over.
    messages = models.JSONField(default=dict, blank=True, editable=False)
    why = models.CharField(max_length=16, choices=WHY, blank=True, default="")
    words = models.CharField(gettext_lazy("in a few words"), max_length=500, blank=True, default="")
    fared = models.CharField(
        gettext_lazy("how it did"), max_length=3, choices=Fared.choices, blank=True, default=""
    )
    fared_words = models.CharField(
        gettext_lazy("how it did, in words"), max_length=300, blank=True, default=""
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    # It holds no more from then on; what was tried is remembered.
    withdrawn_at = models.DateTimeField(null=True, default=None, editable=False)
    permanent = models.ForeignKey(
        Revision, models.PROTECT, null=True, default=None, related_name="+", editable=False
    )

    class Meta:
        ordering = ["show__held_on", "at"]
        verbose_name = gettext_lazy("unit at a show")
        verbose_name_plural = gettext_lazy("units at shows")
        indexes = [models.Index(fields=["gear", "model"], name="tried_by_model")]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "unit", "lasts"],
                condition=models.Q(withdrawn_at=None),
                name="one_layer_of_unit",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} at {self.show}: {self.get_what_display()}"

    @property
    def make(self) -> str:
        return f"{self.maker} {self.model}".strip()

    @property
    def holds(self) -> bool:
        return self.withdrawn_at is None

    def clean(self) -> None:
        if self.unit.rig.production_id != self.show.leg.production_id:
            raise ValidationError(_("That unit belongs to another production."))
        wrong: dict[str, str] = {}
        for name, tidy in (("radio", tidy_radio), ("strings", _tidy_gauges)):
            try:
                setattr(self, name, tidy(getattr(self, name)))
            except ValueError as error:
                wrong[name] = str(error)
        if any(wrong_message(each) for each in self.messages.values() if each is not None):
            wrong["messages"] = _("One of the MIDI messages says nothing that can be sent.")
        if self.what == self.What.REPLACED:
            if not (self.maker or self.model):
                wrong["model"] = _("Say what came.")
            if not self.gear:
                wrong["gear"] = _("Say what kind of gear it is.")
            if not self.why:
                wrong["why"] = _("Say what happened.")
        if wrong:
            raise ValidationError(wrong)


def wrong_message(numbers: Mapping[str, int]) -> tuple[str, str] | None:
    """The number of a MIDI message that is wrong, and why; None where it can be sent."""
    for name, number in numbers.items():
        low, high = CHANNELS if name == "channel" else DATA
        if name not in MESSAGE or not low <= number <= high:
            return name, _("This is {low} to {high}.").format(low=low, high=high)
    return message_problem(set(numbers))


def _tidy_gauges(text: str) -> str:
    return parse_gauges(text).text if text else ""


class ControlAtShow(Identified):
    """A control of a unit at a show: one that is there and set otherwise, or one of what came."""

    row = models.ForeignKey(UnitAtShow, models.PROTECT, related_name="controls")
    # The id of the control that is set; empty for one of what came. No foreign key: it may belong
    # to the rig or to what came for the rest of the leg.
    about = models.UUIDField(null=True, blank=True, default=None)
    name = models.CharField(max_length=80)
    style = models.CharField(max_length=8, choices=STYLE_CHOICES, default=Style.CLOCK.value)
    low = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True, default=None)
    high = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True, default=None)
    choices = models.CharField(max_length=400, blank=True, default="")
    symbol = models.CharField(max_length=12, blank=True, default="")
    setting = models.CharField(max_length=120, blank=True, default="")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = gettext_lazy("control of a unit at a show")
        verbose_name_plural = gettext_lazy("controls of units at shows")

    def __str__(self) -> str:
        return f"{self.name} {self.setting}".strip()

    def clean(self) -> None:
        try:
            self.setting = tidy_setting(
                Style(self.style), self.setting, self.low, self.high, self.choices
            )
        except ValueError as error:
            raise ValidationError({"setting": str(error)}) from None


class UnitAtShowChange(Change):
    """Who said what of a unit at a show, in words; never changed."""

    row = models.ForeignKey(UnitAtShow, models.PROTECT, related_name="changes")

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("change of a unit at a show")
        verbose_name_plural = gettext_lazy("changes of units at shows")

    def __str__(self) -> str:
        return f"{self.row}, {self.by_name}"
