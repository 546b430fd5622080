"""What is different at one show: which rigs play, their inputs, and what travels with the crew.

The rigs stay as they are signed. What holds for one evening is written here, beside them.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Player, Show
from core.models.base import Identified, OfflineTimes
from core.models.fields import LengthUnitField
from rigs.changes.reasons import CIRCUMSTANCES, LABELS, ReasonKind
from rigs.fields import PartField, listed_of
from rigs.models.inputs import Device, Input
from rigs.models.rigs import Rig

# A record that was wrong is put right on the rig, not for one evening.
CIRCUMSTANCES_OF_SHOWS = [kind for kind in CIRCUMSTANCES if kind != ReasonKind.CORRECTION]
WHY = [(str(kind), gettext_lazy(LABELS[kind])) for kind in CIRCUMSTANCES_OF_SHOWS]


_ROWS = tuple(row for row in listed_of(Input.KIND) if row.at_shows)


class ShowInput(OfflineTimes, Identified):
    """One input at one show, where it differs from the list. What is empty is as in the list.

    0 for the high-pass is “off”, 0 for the pad is “none”. What may differ is said by the rows of
    inputs (`at_shows`). The columns below have words of their own for one show; those of other
    rows are made from the columns of inputs.
    """

    # The rows of what may differ, in the order in which a crew reads them out, and their names.
    ROWS: ClassVar[tuple[PartField, ...]] = _ROWS
    OVERRIDES: ClassVar[tuple[str, ...]] = tuple(row.name for row in _ROWS)
    # These are not changed without saying why, as on a rig.
    NEEDS_WHY: ClassVar[tuple[str, ...]] = ("device", "absent")

    show = models.ForeignKey(Show, models.PROTECT, related_name="input_differences")
    input = models.ForeignKey(Input, models.PROTECT, related_name="at_shows")
    absent = models.BooleanField(gettext_lazy("not used at this show"), default=False)
    device = models.ForeignKey(
        Device,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=gettext_lazy("microphone or DI instead"),
    )
    hired_locally = models.BooleanField(
        gettext_lazy("its microphone or DI is hired locally"), default=False
    )
    number = models.PositiveIntegerField(
        gettext_lazy("channel at this show"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(9999)],
    )
    stand = models.CharField(max_length=80, blank=True)
    stage_position = models.CharField(gettext_lazy("cable or stage box"), max_length=80, blank=True)
    phantom = models.BooleanField(gettext_lazy("phantom power"), null=True, blank=True)
    pad_db = models.DecimalField(
        gettext_lazy("pad, dB"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-60), MaxValueValidator(0)],
        help_text=gettext_lazy("−20 for a 20 dB pad, 0 for none."),
    )
    gain_db = models.DecimalField(
        gettext_lazy("preamp gain, dB"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(90)],
    )
    high_pass_hz = models.DecimalField(
        gettext_lazy("HPF, Hz"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(20000)],
        help_text=gettext_lazy("0 for off."),
    )
    why = models.CharField(max_length=16, choices=WHY, blank=True)
    words = models.CharField(gettext_lazy("in a few words"), max_length=500, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(fields=["show", "input"], name="one_difference_of_input"),
        ]

    def __str__(self) -> str:
        return f"{self.input} at {self.show}"

    @property
    def is_as_listed(self) -> bool:
        """Whether the input is as in the list, whatever the words beside it."""
        differs = [getattr(self, name) for name in self.OVERRIDES]
        return not (self.absent or self.hired_locally or any(v not in (None, "") for v in differs))

    def clean(self) -> None:
        production = self.show.leg.production_id
        if self.input.rig.production_id != production:
            raise ValidationError(_("That input belongs to another production."))
        if self.device is not None and self.device.production_id != production:
            raise ValidationError(
                {"device": _("That microphone or DI belongs to another production.")}
            )
        # Where it is and how it is set up for an evening needs no reason; another microphone does.
        if self.device is not None or self.absent:
            missing = {"why": _("Say what happened.")} if not self.why else {}
            if not self.words.strip():
                missing["words"] = _("Say in a few words what happened.")
            if missing:
                raise ValidationError(missing)


def _column_at_shows(name: str) -> models.Field[Any, Any]:
    """The column of an input, where empty is as in the list; a unit beside a length has one."""
    column: Any = Input._meta.get_field(name)
    _, _, args, more = column.deconstruct()
    # Its related_name would clash with that of the input, so that it has to be written by hand.
    if isinstance(column, models.ForeignKey):
        raise TypeError(f"Write the column of {name} at a show out: it points at a record.")
    if isinstance(column, LengthUnitField):
        return LengthUnitField(*args, **more)
    is_text = isinstance(column, models.CharField | models.TextField)
    more |= {"blank": True, "default": ""} if is_text else {"null": True, "blank": True}
    made: models.Field[Any, Any] = type(column)(
        *args, **(more if is_text else more | {"default": None})
    )
    return made


# After the class, because the columns written out in it come first.
for _name in (name for row in _ROWS for name in row.stored):
    if _name not in {column.name for column in ShowInput._meta.local_fields}:
        ShowInput.add_to_class(_name, _column_at_shows(_name))


class ShowRig(OfflineTimes, Identified):
    """A rig that plays at one show though it usually does not, or the other way round.

    What usually plays is worked out (rigs.shows.rigs); only what differs has a row.
    """

    show = models.ForeignKey(Show, models.PROTECT, related_name="rigs_chosen")
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="chosen_at")
    plays = models.BooleanField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["at"]
        constraints = [models.UniqueConstraint(fields=["show", "rig"], name="one_word_on_a_rig")]

    def __str__(self) -> str:
        words = _("{rig} plays at {show}") if self.plays else _("{rig} does not play at {show}")
        return words.format(rig=self.rig, show=self.show)


class ShowDep(OfflineTimes, Identified):
    """Somebody who plays for a player: at one show, or from it to the end of its leg.

    Which of them holds at a show is worked out by `rigs.shows.players`. Without a name the player
    plays themselves again, where a dep of an earlier show would still play.
    """

    show = models.ForeignKey(Show, models.PROTECT, related_name="deps")
    player = models.ForeignKey(Player, models.PROTECT, related_name="deps")
    name = models.CharField(gettext_lazy("dep"), max_length=120, blank=True, default="")
    # Where the dep is a player of the production; `name` is then what they were called.
    stands_in = models.ForeignKey(
        Player, models.PROTECT, null=True, blank=True, default=None, related_name="+"
    )
    differs = models.CharField(
        gettext_lazy("what differs for them"), max_length=500, blank=True, default=""
    )
    to_leg_end = models.BooleanField(gettext_lazy("to the end of the leg"), default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["at"]
        verbose_name = gettext_lazy("dep")
        constraints = [models.UniqueConstraint(fields=["show", "player"], name="one_dep_of_player")]

    def __str__(self) -> str:
        return f"{self.who} for {self.player}" if self.who else str(self.player)

    @property
    def who(self) -> str:
        """Who plays; empty for the player themselves."""
        return self.stands_in.name if self.stands_in is not None else self.name


class ShowHire(Identified):
    """Part of the pack list that is hired where the show is, instead of being brought."""

    class HireSection(models.TextChoices):
        """The sections of the pack list that can be hired."""

        DEVICES = "devices", gettext_lazy("microphones and DIs")
        STANDS = "stands", gettext_lazy("stands")
        CABLES = "cables", gettext_lazy("cables")
        UNITS = "units", gettext_lazy("instruments, amplifiers and other gear")

    show = models.ForeignKey(Show, models.PROTECT, related_name="hires")
    section = models.CharField(gettext_lazy("kind"), max_length=8, choices=HireSection.choices)
    what = models.CharField(max_length=200, help_text=gettext_lazy("As the pack list calls it."))
    count = models.PositiveIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(999)]
    )
    from_whom = models.CharField(gettext_lazy("hired from"), max_length=120, blank=True)
    words = models.CharField(gettext_lazy("to know about it"), max_length=500, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["section", "what"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "section", "what"],
                name="one_hire_of_a_kind",
                violation_error_message=gettext_lazy(
                    "That is among the hires of this show already."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.what}"
