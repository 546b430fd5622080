"""Place a pin: where on the picture, and what it points at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.units import plain
from rigs.dial_scales import DIALS
from rigs.editing.ordering import in_order
from rigs.editing.part_forms import PartForm
from rigs.models import Control, Input, Pin, Rig, Unit
from rigs.photos.forms import as_id
from rigs.settings_of_controls import Style, read_travel, tidy_setting, tidy_travel

MIDDLE = Decimal("0.5")
STEP = Decimal("0.0001")
TRAVEL = ("travel_from", "travel_to")
OF_A_CIRCLE = ("cap_inner", "cap_setting", *TRAVEL)


class PerCentField(forms.DecimalField):
    """A fraction from 0 to 1, typed and shown in per cent: kept to 4 places, shown to 2."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.widget.attrs |= {"min": "0", "max": "100", "step": "0.01"}

    def to_python(self, value: Any) -> Any:
        typed = super().to_python(value)
        if typed is None or not typed.is_finite() or abs(typed) > 1000:
            return typed  # for validate to refuse
        return (typed / 100).quantize(STEP)

    def validate(self, value: Any) -> None:
        super().validate(value)
        if value is not None and not 0 <= value <= 1:
            raise ValidationError(_("The picture runs from 0 to 100 %."))

    def prepare_value(self, value: Any) -> Any:
        return plain(value * 100) if isinstance(value, Decimal) else value


class PinForm(PartForm):
    about = forms.TypedChoiceField(
        label=gettext_lazy("what it points at"), required=False, coerce=as_id, empty_value=None
    )
    x = PerCentField(label=gettext_lazy("from the left, %"))
    y = PerCentField(label=gettext_lazy("from the top, %"))

    cap_radius = PerCentField(
        label=gettext_lazy("radius of the circle over the cap, %"),
        required=False,
        help_text=gettext_lazy(
            "Of the picture’s width, to the edge of what turns. Later photos are then "
            "compared with this one."
        ),
    )
    cap_inner = PerCentField(
        label=gettext_lazy("part of it under another cap, %"),
        required=False,
        help_text=gettext_lazy(
            "Of the radius: where a second knob, or the cap on a skirt, sits on it."
        ),
    )

    GROUPS: ClassVar[Any] = (
        (gettext_lazy("Where it is"), ("x", "y")),
        (
            gettext_lazy("The cap of a knob"),
            ("cap_radius", "cap_inner", "cap_setting", "travel_from", "travel_to"),
        ),
    )

    class Meta:
        model = Pin
        fields = (
            "about",
            "words",
            "x",
            "y",
            "cap_radius",
            "cap_inner",
            "cap_setting",
            "travel_from",
            "travel_to",
        )

    def limit_choices(self) -> None:
        if self.is_new:
            self.initial.update(x=MIDDLE, y=MIDDLE)
        for axis in ("x", "y"):
            self.fields[axis].widget.attrs["data-pin-axis"] = axis
        about: Any = self.fields["about"]
        about.choices = target_choices(self.rig, first=self._subject())

    def clean(self) -> dict[str, Any]:
        """What the photo shows is written down with the circle: the record may change later."""
        cleaned = super().clean()
        radius, about = cleaned.get("cap_radius"), cleaned.get("about")
        if not radius:
            if any(cleaned.get(name) for name in OF_A_CIRCLE):
                self.add_error("cap_radius", _("Without a circle, the rest says nothing."))
            return cleaned
        self._tidy_travel(cleaned)
        control = Control.objects.filter(rig=self.rig, pk=about).first() if about else None
        if control is None or control.style not in DIALS:
            self.add_error("about", _("A circle needs a dial that the pin points at."))
            return cleaned
        try:
            cleaned["cap_setting"] = tidy_setting(
                Style(control.style),
                cleaned.get("cap_setting") or control.setting,
                control.low,
                control.high,
                control.choices,
            )
        except ValueError as error:
            self.add_error("cap_setting", str(error))
            return cleaned
        return cleaned

    def _tidy_travel(self, cleaned: dict[str, Any]) -> None:
        ends = [cleaned.get(name) or "" for name in TRAVEL]
        try:
            read_travel(*ends)
            cleaned.update(zip(TRAVEL, map(tidy_travel, ends), strict=True))
        except ValueError as error:
            self.add_error("travel_from", str(error))

    def _subject(self) -> UUID | None:
        """What the photo shows: most of its pins point at that or its controls."""
        row: Any = self.row
        about: UUID | None = row.photo.about
        return about

    def in_one_line(self, texts: list[str]) -> str:
        x, y = (f"{text} %" if text else "?" for text in texts)
        return _("{x} from the left, {y} from the top").format(x=x, y=y)

    @property
    def is_disputed(self) -> bool:
        """Whether somebody else moved the pin meanwhile."""
        return "x" in self.asked

    @property
    def spot(self) -> tuple[Decimal, Decimal]:
        """Where the form's pin stands: as typed, or in the middle where that is no place."""
        x, y = (self._fraction(axis) for axis in ("x", "y"))
        return x, y

    def _fraction(self, axis: str) -> Decimal:
        field: Any = self.fields[axis]
        try:
            fraction: Decimal | None = field.clean(self[axis].value())
        except ValidationError:
            fraction = None
        return MIDDLE if fraction is None else fraction


def target_choices(rig: Rig, *, first: UUID | None = None) -> list[Any]:
    """Each unit with its controls, then the inputs; the group with `first` leads. Three queries."""
    controls: Mapping[UUID, list[Control]] = defaultdict(list)
    for control in in_order(Control.objects.live().filter(rig=rig)):
        controls[control.unit_id].append(control)
    groups = [
        (
            unit.pk == first,
            (str(unit), [(str(unit.pk), _("{unit} as a whole").format(unit=unit)), *_options(own)]),
        )
        for unit in in_order(Unit.objects.live().filter(rig=rig))
        for own in [controls[unit.pk]]
    ]
    inputs = in_order(Input.objects.live().filter(rig=rig))
    if inputs:
        groups.append((first in {entry.pk for entry in inputs}, (_("Inputs"), _options(inputs))))
    # Sorting keeps the order of equals, so the other groups stay in the order of the rig.
    groups.sort(key=lambda group: not group[0])
    return [("", _("nothing, its words say it")), *(group for _first, group in groups)]


def _options(parts: list[Any]) -> list[tuple[str, str]]:
    return [(str(part.pk), str(part)) for part in parts]
