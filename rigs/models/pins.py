"""Pins: numbered places on a photo, each at a control, a unit or an input."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from rigs.fields import POSITION, PartField, ValueKind
from rigs.models.parts import Part
from rigs.models.photos import Photo

_FRACTION = (MinValueValidator(0), MaxValueValidator(1))


class Pin(Part):
    """A place on a photo. Its number is its rank among the pins of that photo, counted from 1.

    `x` and `y` are fractions of the prepared picture's width and height, from the left and from
    the top, so that the pin stays on the same spot however large the picture is shown or printed.
    """

    KIND: ClassVar[str] = "pin"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "photo",
            kind=ValueKind.POINTER,
            label=gettext_noop("on photo"),
            names_part=True,
            searched=True,
        ),
        PartField(
            "about",
            kind=ValueKind.POINTER,
            label=gettext_noop("points at"),
            names_part=True,
            in_summary=True,
        ),
        PartField("x", kind=ValueKind.FRACTION, label=gettext_noop("from the left")),
        PartField("y", kind=ValueKind.FRACTION, label=gettext_noop("from the top")),
        PartField("cap_radius", kind=ValueKind.FRACTION, label=gettext_noop("circle over the cap")),
        PartField(
            "cap_inner", kind=ValueKind.FRACTION, label=gettext_noop("of it, under another cap")
        ),
        PartField("cap_setting", label=gettext_noop("the photo shows it at")),
        PartField("travel_from", label=gettext_noop("its low end points at")),
        PartField("travel_to", label=gettext_noop("its high end points at")),
        PartField(
            "slot_x",
            kind=ValueKind.FRACTION,
            label=gettext_noop("far end of the slot, from the left"),
        ),
        PartField(
            "slot_y",
            kind=ValueKind.FRACTION,
            label=gettext_noop("far end of the slot, from the top"),
        ),
        PartField("spots", label=gettext_noop("positions of the switch")),
        PartField("words", names_part=True, searched=True, in_summary=True),
        POSITION,
    )
    TOGETHER: ClassVar[tuple[tuple[str, ...], ...]] = (
        ("x", "y"),  # one spot
        ("slot_x", "slot_y"),
        ("travel_from", "travel_to"),
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="pins")
    photo = models.ForeignKey(Photo, models.PROTECT, related_name="pins")
    # The id of the unit, control or input it points at; empty where its words say it all.
    about = models.UUIDField(null=True, blank=True)
    # Four places: on a picture of 2000 pixels a step is a fifth of a pixel.
    x = models.DecimalField(max_digits=5, decimal_places=4, validators=_FRACTION)
    y = models.DecimalField(max_digits=5, decimal_places=4, validators=_FRACTION)
    # The circle over a knob’s cap about (x, y): with it, a later photo can be compared.
    cap_radius = models.DecimalField(
        gettext_lazy("radius of the circle over the cap"),
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        default=None,
        validators=_FRACTION,
        help_text=gettext_lazy(
            "Of the picture’s width; to the edge of what turns. It makes this photo a "
            "reference for the knob."
        ),
    )
    cap_inner = models.DecimalField(
        gettext_lazy("part of it that another cap covers"),
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        default=None,
        validators=_FRACTION,
        help_text=gettext_lazy(
            "Of the radius: the inner knob of a pair, or the cap on a skirt with numbers."
        ),
    )
    cap_setting = models.CharField(
        gettext_lazy("setting that the photo shows"),
        max_length=120,
        blank=True,
        default="",
        help_text=gettext_lazy("Empty for what was documented when the circle was drawn."),
    )
    # The ends of a knob's travel as on a clock face; both empty: 7:00 and 5:00, 300° apart.
    travel_from = models.CharField(
        gettext_lazy("where its low end points"),
        max_length=5,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "As on a clock face. Both ends empty: from 7:00 round to 5:00, 300°."
        ),
    )
    travel_to = models.CharField(
        gettext_lazy("where its high end points"), max_length=5, blank=True, default=""
    )
    # A fader runs from (x, y), its low end, to here.
    slot_x = models.DecimalField(
        gettext_lazy("far end of the slot, from the left"),
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        default=None,
        validators=_FRACTION,
    )
    slot_y = models.DecimalField(
        gettext_lazy("far end of the slot, from the top"),
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        default=None,
        validators=_FRACTION,
    )
    # Where the lever points in each position: "31.2 40; 31.2 44", in per cent of the picture.
    spots = models.CharField(
        gettext_lazy("positions of the switch"),
        max_length=200,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "One place for each, in the order of its positions, in % from the left and from "
            "the top: 31.2 40; 31.2 44."
        ),
    )
    words = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("What is to be seen there, in a few words."),
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="pin_in_order")]

    def __str__(self) -> str:
        return self.words or _("on {photo}").format(photo=self.photo)

    def tidy(self) -> None:
        if self.about is None and not self.words:
            raise ValidationError(
                {"words": _("Say what is there, or pick what the pin points at.")}
            )
