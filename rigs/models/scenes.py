"""Scenes: what one press on a switcher, controller or modeller sets, over the whole rig."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.marked import gettext_noop
from rigs.changes.played import BYPASSED, IN
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.models.parts import Part
from rigs.models.units import Control, Unit

UNIT_STATES = {
    IN: pgettext_lazy("of a unit in a scene", "in"),
    BYPASSED: pgettext_lazy("of a unit in a scene", "bypassed"),
}


class Scene(Part):
    """One scene as it is stored on the unit that recalls it."""

    KIND: ClassVar[str] = "scene"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "unit",
            FieldRole.HEARD_WORDS,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
            searched=True,
        ),
        PartField(
            "slot",
            FieldRole.HEARD_WORDS,
            label=gettext_noop("number"),
            names_part=True,
            searched=True,
        ),
        PartField("name", names_part=True, searched=True),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="scenes")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="scenes")
    slot = models.CharField(
        gettext_lazy("number"),
        max_length=20,
        blank=True,
        default="",
        help_text=gettext_lazy("As the unit shows it: 3, 2B, bank 4 right."),
    )
    name = models.CharField(
        max_length=80,
        help_text=gettext_lazy("What the crew calls it: chorus, solo."),
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="scene_in_order")]

    def __str__(self) -> str:
        return f"{self.slot} {self.name}".strip()

    def tidy(self) -> None:
        self.slot, self.name = (" ".join(text.split()) for text in (self.slot, self.name))


class SceneEntry(Part):
    """One thing that a scene sets: whether a unit is in or bypassed, or where a control stands.

    What a scene does not speak of stays as documented. Of each thing it says one thing only.
    """

    KIND: ClassVar[str] = "scene_entry"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("scene", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("what", FieldRole.HEARD_WORDS, names_part=True),
        PartField("unit", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("control", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("value", FieldRole.HEARD_WORDS, label=gettext_noop("setting"), names_part=True),
        POSITION,
    )

    class What(models.TextChoices):
        CONTROL = "control", gettext_lazy("setting of a control")
        UNIT = "unit", gettext_lazy("unit in or bypassed")

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="scene_entries")
    scene = models.ForeignKey(Scene, models.PROTECT, related_name="entries")
    what = models.CharField(max_length=12, choices=What.choices, default=What.CONTROL)
    unit = models.ForeignKey(Unit, models.PROTECT, null=True, blank=True, related_name="+")
    control = models.ForeignKey(Control, models.PROTECT, null=True, blank=True, related_name="+")
    value = models.CharField(max_length=400, blank=True, default="")

    class Meta(Part.Meta):
        verbose_name = gettext_lazy("entry of a scene")

    def __str__(self) -> str:
        return _("{thing}: {value} in scene “{scene}”").format(
            thing=self.unit or self.control, value=self.value, scene=self.scene
        )

    def tidy(self) -> None:
        self.value = " ".join(self.value.split())
        # What it is about is named like the field that points at it.
        for field in ("control", "unit"):
            given = getattr(self, f"{field}_id") is not None
            if given != (field == self.what):
                message = (
                    _("This needs a value.") if field == self.what else _("This does not go here.")
                )
                raise ValidationError({field: message})
        if not self.value:
            raise ValidationError({"value": _("This needs a value.")})
        if self.what == self.What.UNIT and self.value not in UNIT_STATES:
            raise ValidationError(
                {"value": _("A unit is “{one}” or “{other}”.").format(one=IN, other=BYPASSED)}
            )
