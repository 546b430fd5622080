"""What an input picks up beside its own unit, and groups of units that are named once.

Each source of an input and each member of a group is a part of its own: two people who add
different ones at once are both right, and neither overwrites the other. What follows for an input
is worked out in `rigs.picked_up` and nowhere else.
"""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from core.models import Player
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.models.inputs import Input
from rigs.models.parts import Part
from rigs.models.units import Unit
from rigs.picked_up import rig_of

_NAMES = UUID("b7c0b6de-52f1-4f0e-9a53-0d5b0a2f7c44")  # names ids of sources, see `own_id`


class Group(Part):
    """Units that are picked up together and go by one name: the kit, the brass."""

    KIND: ClassVar[str] = "group"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("name", names_part=True, searched=True),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="groups")
    name = models.CharField(
        gettext_lazy("name of the group"),
        max_length=80,
        help_text=gettext_lazy("The kit, the brass, the keyboards …"),
    )

    class Meta(Part.Meta):
        verbose_name = gettext_lazy("group of units")
        indexes = [models.Index(fields=["rig", "position"], name="group_in_order")]

    def __str__(self) -> str:
        return self.name


class Member(Part):
    """That a unit belongs to a group."""

    KIND: ClassVar[str] = "member"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "group",
            FieldRole.PLACEMENT,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
        ),
        PartField(
            "unit", FieldRole.PLACEMENT, ValueKind.POINTER, names_part=True, leaves_for_reason=True
        ),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="members")
    group = models.ForeignKey(Group, models.PROTECT, related_name="members")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="memberships")

    class Meta(Part.Meta):
        verbose_name = gettext_lazy("member of a group")
        indexes = [models.Index(fields=["rig", "group"], name="member_by_group")]

    def __str__(self) -> str:
        return _("{unit} in {group}").format(unit=self.unit, group=self.group)


class Source(Part):
    """One more thing that an input picks up: a unit, a group of units, or, as a room microphone
    and a submix do, all that another player plays through, whichever of their rigs is there."""

    KIND: ClassVar[str] = "source"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "input",
            FieldRole.PLACEMENT,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
        ),
        PartField(
            "unit",
            FieldRole.PLACEMENT,
            ValueKind.POINTER,
            names_part=True,
            leaves_for_reason=True,
        ),
        PartField(
            "group",
            FieldRole.PLACEMENT,
            ValueKind.POINTER,
            names_part=True,
            leaves_for_reason=True,
        ),
        PartField(
            "player",
            FieldRole.PLACEMENT,
            ValueKind.POINTER,
            names_part=True,
            leaves_for_reason=True,
        ),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="sources")
    input = models.ForeignKey(Input, models.PROTECT, related_name="sources")
    unit = models.ForeignKey(Unit, models.PROTECT, null=True, blank=True, related_name="+")
    group = models.ForeignKey(Group, models.PROTECT, null=True, blank=True, related_name="+")
    player = models.ForeignKey(
        Player, models.PROTECT, null=True, blank=True, default=None, related_name="+"
    )

    class Meta(Part.Meta):
        verbose_name = gettext_lazy("source of an input")
        indexes = [models.Index(fields=["rig", "input"], name="source_by_input")]

    def __str__(self) -> str:
        source = self.unit or self.group or rig_of(str(self.player))
        return _("{source} on {input}").format(source=source, input=self.input)

    def tidy(self) -> None:
        if sum(each is not None for each in (self.unit_id, self.group_id, self.player_id)) != 1:
            raise ValidationError(
                {"unit": _("A source is a unit, a group of units or the rig of another player.")}
            )


def own_id(whole: object, part: object) -> UUID:
    """The id of the source `part` of the input `whole`, or of the unit `part` in the group `whole`:
    the same for everybody who adds it, so that what is added twice at once is there once, and what
    comes back is the same part again."""
    return uuid5(_NAMES, f"{whole}/{part}")
