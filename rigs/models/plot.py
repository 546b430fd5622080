"""What stands where on stage and is part of no rig: the stage itself, risers, drops of mains, and
the places in metres of players, units, inputs, boxes and monitors.

Metres to stage right of the centre line (less than 0: to stage left), and upstage of the front
edge. Right is as the players see it, as in the plan of a kit; stage right is house left. Written by
`rigs.plot.services` alone.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import apart
from core.models import Player, Production, Show
from core.models.base import Change, Identified, Retirable, RetirableQuerySet
from core.models.fields import LengthField, LengthUnitField
from core.units import plain
from rigs.models.inputs import Input
from rigs.models.patch import PatchBox
from rigs.models.units import Unit

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

TO_STAGE_RIGHT = gettext_lazy(
    "Minus for stage left. As the players see it: stage right is house left."
)
UPSTAGE = gettext_lazy(
    "Away from the audience, from the front edge of the stage to the middle of the thing."
)

WIDE = gettext_lazy("From side to side.")
FACES = gettext_lazy("Downstage is towards the audience. Degrees from there: 30° stage right.")
MEANWHILE = gettext_lazy("Someone else has said meanwhile how large it is. Open it again.")
DEEP = gettext_lazy("From its front to its back.")


def _figure(words: StrOrPromise, most: int, places: int) -> models.DecimalField:  # type: ignore[type-arg]
    limits = [MinValueValidator(Decimal(1)), MaxValueValidator(Decimal(most))]
    return models.DecimalField(
        words,
        max_digits=6,
        decimal_places=places,
        null=True,
        blank=True,
        default=None,
        validators=limits,
    )


class OnStage(models.Model):
    """A place in metres; None where nobody measured it."""

    right_m = LengthField(gettext_lazy("to stage right"), below_zero=True, help_text=TO_STAGE_RIGHT)
    right_unit = LengthUnitField(default="m")
    up_m = LengthField(gettext_lazy("upstage"), below_zero=True, help_text=UPSTAGE)
    up_unit = LengthUnitField(default="m")

    class Meta:
        abstract = True

    @property
    def is_placed(self) -> bool:
        return self.right_m is not None and self.up_m is not None


class Facing(models.Model):
    """Which way it faces: degrees from downstage, to stage left less than 0; None where unsaid."""

    faces = models.SmallIntegerField(
        null=True,
        blank=True,
        default=None,
        help_text=FACES,
        validators=[MinValueValidator(-179), MaxValueValidator(180)],
    )

    class Meta:
        abstract = True


class StageSize(Identified):
    """How wide and deep the stage is that the plot is drawn on, of all shows or of one."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="stage_sizes")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, blank=True, default=None, related_name="stage_sizes"
    )
    width_m = LengthField(
        gettext_lazy("width of the stage"), help_text=gettext_lazy("Across the stage.")
    )
    width_unit = LengthUnitField(default="m")
    depth_m = LengthField(
        gettext_lazy("depth of the stage"),
        help_text=gettext_lazy("From the front edge to the back."),
    )
    depth_unit = LengthUnitField(default="m")
    words = models.CharField(
        gettext_lazy("to know about it"),
        max_length=200,
        blank=True,
        default="",
        help_text=gettext_lazy("Load-in, height, what is in the way."),
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["production", "show", "pk"]
        verbose_name = gettext_lazy("size of a stage")
        verbose_name_plural = gettext_lazy("sizes of stages")
        constraints = [
            models.UniqueConstraint(
                fields=["production"],
                condition=models.Q(show=None),
                name="one_usual_stage",
                violation_error_message=MEANWHILE,
            ),
            models.UniqueConstraint(
                fields=["show"], name="one_stage_of_show", violation_error_message=MEANWHILE
            ),
        ]

    def __str__(self) -> str:
        return _("Stage of {place}").format(place=self.show or self.production)


class Riser(OnStage, Facing, Retirable):
    """A platform on the stage; its place is that of its middle."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="risers")
    name = models.CharField(max_length=60)
    width_m = LengthField(gettext_lazy("width"), help_text=WIDE)
    width_unit = LengthUnitField(default="m")
    depth_m = LengthField(gettext_lazy("depth"), help_text=DEEP)
    depth_unit = LengthUnitField(default="m")
    height_m = LengthField(gettext_lazy("height"), limit_m=10)
    height_unit = LengthUnitField(default="cm")
    player = models.ForeignKey(
        Player,
        models.PROTECT,
        null=True,
        blank=True,
        default=None,
        related_name="risers",
        verbose_name=gettext_lazy("whose it is"),
    )
    words = models.CharField(
        gettext_lazy("to know about it"), max_length=200, blank=True, default=""
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name = gettext_lazy("riser")

    def __str__(self) -> str:
        return self.name


class MainsDrop(OnStage, Retirable):
    """Where mains power is wanted, and what is to be there.

    A unit is fed from the drop whose name its “mains circuit” begins with (`rigs.plot.mains`).
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="mains_drops")
    name = models.CharField(
        max_length=60,
        help_text=gettext_lazy("As it is labelled. Units name it as their mains circuit."),
    )
    place = models.CharField(
        gettext_lazy("where it is"),
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy("As seen from the stage: “stage left, behind the bass”."),
    )
    volts = _figure(gettext_lazy("voltage, V"), 1000, 1)
    hertz = _figure(gettext_lazy("frequency, Hz"), 400, 1)
    amps = _figure(gettext_lazy("current it is made for, A"), 1000, 1)
    supply = models.CharField(
        gettext_lazy("sockets and what else is wanted"),
        max_length=200,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "What is plugged in there, how many sockets, away from which loads."
        ),
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name = gettext_lazy("drop of mains")
        verbose_name_plural = gettext_lazy("drops of mains")

    def __str__(self) -> str:
        return self.name

    @property
    def has_figures(self) -> bool:
        return any(each is not None for each in (self.volts, self.hertz, self.amps))

    @property
    def labelled(self) -> str:
        """“Backline left, 230 V, 50 Hz, 16 A”: as a circuit is written, with what is known."""
        figures = ((self.volts, "V"), (self.hertz, "Hz"), (self.amps, "A"))
        known = [f"{plain(value)} {symbol}" for value, symbol in figures if value is not None]
        return ", ".join([self.name, *known])

    def clean(self) -> None:
        # The name of a circuit ends at the first comma, behind which its figures stand.
        if "," in self.name:
            raise ValidationError(
                {"name": _("No comma, please: figures have fields of their own.")}
            )


def _of(model: type[models.Model]) -> models.ForeignKey:  # type: ignore[type-arg]
    return models.ForeignKey(
        model,
        models.PROTECT,
        null=True,
        default=None,
        editable=False,
        related_name="plot_places",
    )


# Risers and drops have a place of their own, for all shows; another at a show is a PlotPlace.
DESCRIBED_ELSEWHERE = ("player", "unit", "input", "box", "monitor")
ON_THE_PLOT = (*DESCRIBED_ELSEWHERE, "riser", "drop")


class PlotPlace(OnStage, Facing, Identified):
    """Where a player, unit, input, box or monitor is; the thing itself is described elsewhere.

    A row of a show stands in for the whole of what is said for all shows, and may be that of a
    riser or a drop too. Without metres the thing is not on the plot of that show.
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="plot_places")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, default=None, editable=False, related_name="plot_places"
    )
    player = _of(Player)
    unit = _of(Unit)
    input = _of(Input)
    box = _of(PatchBox)
    riser = _of(Riser)
    drop = _of(MainsDrop)
    # Who knows monitors is further downstream, so no key of a table (rigs.places.MONITORS).
    monitor = models.UUIDField(null=True, default=None, editable=False)
    width_m = LengthField(gettext_lazy("width"), help_text=WIDE)
    width_unit = LengthUnitField(default="cm")
    depth_m = LengthField(gettext_lazy("depth"), help_text=DEEP)
    depth_unit = LengthUnitField(default="cm")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["production", "pk"]
        verbose_name = gettext_lazy("place on the plot")
        verbose_name_plural = gettext_lazy("places on the plot")
        constraints = [
            *(
                models.UniqueConstraint(
                    fields=[name], condition=models.Q(show=None), name=f"one_place_of_{name}"
                )
                for name in DESCRIBED_ELSEWHERE
            ),
            *(
                models.UniqueConstraint(fields=["show", name], name=f"one_place_of_{name}_at_show")
                for name in ON_THE_PLOT
            ),
        ]

    def __str__(self) -> str:
        thing = self.player or self.unit or self.input or self.box or self.riser or self.drop
        return str(thing or _("a monitor"))

    @property
    def of(self) -> UUID | None:
        """The id of what it is the place of."""
        return next(iter(self.pointing.values()), None)

    @property
    def pointing(self) -> dict[str, UUID]:
        """The one column that says what it is the place of, and the id there."""
        columns = (f"{name}_id" if name != "monitor" else name for name in ON_THE_PLOT)
        return {name: value for name in columns if (value := getattr(self, name)) is not None}


class PlotChange(Change):
    """Who changed the plot of all shows, or the stage of one, and what was changed."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="plot_changes")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, blank=True, default=None, related_name="plot_changes"
    )

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("change of the plot")
        verbose_name_plural = gettext_lazy("changes of the plot")

    def __str__(self) -> str:
        return apart(self.words)
