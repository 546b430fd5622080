"""Mark the controls of a panel on a photo: all of them in one form, saved as one change."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Self
from uuid import uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import leading, told
from rigs.changes.edits import Add, Edit, Set
from rigs.dial_scales import DIALS
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.ordering import in_order
from rigs.knob_check.marks import read_spots, write_spots
from rigs.models import Control, Photo, Pin
from rigs.photos.pin_forms import PerCentField
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.settings_of_controls import Style, read_travel, tidy_setting, tidy_travel

# Form field → column of the pin.
ROUND = {
    "x": "x",
    "y": "y",
    "radius": "cap_radius",
    "inner": "cap_inner",
    "endx": "slot_x",
    "endy": "slot_y",
    "setting": "cap_setting",
    "from": "travel_from",
    "to": "travel_to",
}
LEVER = {"spots": "spots", "setting": "cap_setting"}
WORDS = frozenset({"spots", "setting", "from", "to"})
SWITCHES = frozenset({Style.SWITCH, Style.CHOICE})
ENDS = {
    "from": (gettext_lazy("low end points at"), "7:00"),
    "to": (gettext_lazy("high end points at"), "5:00"),
}
EMPTY = {
    "cap_radius": None,
    "cap_inner": None,
    "slot_x": None,
    "slot_y": None,
    "cap_setting": "",
    "travel_from": "",
    "travel_to": "",
    "spots": "",
}


@dataclass(frozen=True)
class MarkedControl:
    """A control, its pin on the photo if it has one, and its open fields by their short names."""

    control: Control
    pin: Pin | None
    fields: dict[str, forms.BoundField]
    is_switch: bool
    document: forms.BoundField | None  # where it has no setting yet

    @property
    def key(self) -> str:
        return str(self.control.pk)

    @property
    def travel(self) -> list[forms.BoundField]:
        """The ends of a knob's travel."""
        return [field for name, field in self.fields.items() if name in ENDS]

    @property
    def numbers(self) -> list[forms.BoundField]:
        """Where the mark is."""
        return [f for name, f in self.fields.items() if name != "setting" and name not in ENDS]

    @property
    def errors(self) -> list[str]:
        return [str(error) for field in self.fields.values() for error in field.errors]


class CirclesForm(GuardedForm):
    """For each control that `photo` may show, its mark: a circle over a cap, the ends of a slot, or
    the positions of a switch. What is left empty gets no mark."""

    kind = "pin"

    def __init__(self, photo: Photo, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(photo.rig)
        self.photo = photo
        self.controls = controls_on(photo)
        pins = Pin.objects.live().filter(photo=photo).order_by("position", "pk")
        self.pins: dict[Any, Pin] = {}
        for pin in pins:
            self.pins.setdefault(pin.about, pin)
        self.next_position = max((pin.position for pin in pins), default=-1) + 1
        self.part_of: dict[str, tuple[Control, str]] = {}
        # Compared with what the page showed, so that a field nobody touched takes no side.
        opened_on = as_of(photo.rig, self.base) if self.base != photo.rig.head_number else None
        for control in self.controls:
            self._add(control, opened_on)
        self.read_choices()

    def _add(self, control: Control, opened_on: Any) -> None:
        pin = self.pins.get(control.pk)
        known: Any = pin.fields() if pin else {}
        if pin and opened_on is not None:
            known = opened_on.get(str(pin.pk)) or {}
        has_mark = any(known.get(name) for name in ("cap_radius", "slot_x", "spots"))
        if not control.setting:
            self.fields[f"document-{control.pk}"] = forms.BooleanField(
                label=_("Document it so"), required=False
            )
        for name, column in _columns(control).items():
            key = f"{name}-{control.pk}"
            self.fields[key] = _field(name)
            # A pin without a mark says where, and that is a good beginning.
            value = known.get(column)
            self.initial[key] = value if name in WORDS else _typed_number(value)
            if name == "setting" and not has_mark:
                self.initial[key] = ""
            self.part_of[key] = (control, column)

    def key(self, name: str) -> Key | None:
        found = self.part_of.get(name)
        if found is None:
            return None
        pin = self.pins.get(found[0].pk)
        return Key(str(pin.pk) if pin else str(found[0].pk), (found[1],))

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        for control in self.controls:
            if control.style in SWITCHES:
                self._check_switch(control)
            else:
                self._check_round(control)
        return self.cleaned_data

    def _check_switch(self, control: Control) -> None:
        text = self.cleaned_data.get(f"spots-{control.pk}") or ""
        try:
            self.cleaned_data[f"spots-{control.pk}"] = write_spots(read_spots(text))
        except ValueError as error:
            self.add_error(f"spots-{control.pk}", told(error.args[0]))
            return
        self._check_setting(control, marked=bool(text))

    def _check_round(self, control: Control) -> None:
        x, y, radius, inner, endx, endy = (
            self.cleaned_data.get(f"{name}-{control.pk}")
            for name in ("x", "y", "radius", "inner", "endx", "endy")
        )
        marked = bool(radius) or endx is not None or endy is not None
        if marked and (x is None or y is None):
            self.add_error(
                f"x-{control.pk}", _("Say where its middle is, or the low end of its slot.")
            )
        if (endx is None) != (endy is None):
            self.add_error(f"endx-{control.pk}", _("The far end of a slot needs both numbers."))
        if radius and endx is not None:
            self.add_error(f"endx-{control.pk}", _("It is a knob or a fader, not both."))
        if inner and not radius:
            self.add_error(f"inner-{control.pk}", _("Without a circle, this says nothing."))
        self._check_travel(control, turns=bool(radius))
        self._check_setting(control, marked=marked)

    def _check_travel(self, control: Control, *, turns: bool) -> None:
        keys = [f"{name}-{control.pk}" for name in ("from", "to")]
        ends = [self.cleaned_data.get(key) or "" for key in keys]
        if not turns:
            # Without a circle it is no knob, and there is nothing that turns.
            self.cleaned_data.update(dict.fromkeys(keys, ""))
            return
        try:
            read_travel(*ends)
            self.cleaned_data.update(zip(keys, map(tidy_travel, ends), strict=True))
        except ValueError as error:
            self.add_error(keys[0], str(error))

    def _check_setting(self, control: Control, *, marked: bool) -> None:
        """What the photo shows is written down with the mark: the record may change later."""
        key = f"setting-{control.pk}"
        if not marked:
            self.cleaned_data[key] = ""
            return
        typed = self.cleaned_data.get(key) or control.setting
        try:
            self.cleaned_data[key] = tidy_setting(
                Style(control.style), typed, control.low, control.high, control.choices
            )
        except ValueError as error:
            self.add_error(key, str(error))

    def edits(self) -> list[Edit]:
        typed = set(self.typed())
        edits: list[Edit] = []
        for control in self.controls:
            edits += self._documented(control)
            names = _columns(control)
            if not any(f"{name}-{control.pk}" in typed for name in names):
                continue
            values = {
                column: self.cleaned_data.get(f"{name}-{control.pk}")
                for name, column in names.items()
            }
            edits += self._edit(control, values)
        return edits

    def _documented(self, control: Control) -> list[Edit]:
        """The setting of a control that had none, where somebody confirmed what the photo shows."""
        setting = self.cleaned_data.get(f"setting-{control.pk}")
        if setting and self.cleaned_data.get(f"document-{control.pk}"):
            return [Set(str(control.pk), "control", {"setting": setting})]
        return []

    def _edit(self, control: Control, values: dict[str, Any]) -> list[Edit]:
        pin = self.pins.get(control.pk)
        if spots := read_spots(values.get("spots") or ""):
            values |= {"x": spots[0][0], "y": spots[0][1]}
        has_mark = values.get("cap_radius") or values.get("slot_x") is not None or spots
        if pin is None:
            if not has_mark:
                return []
            fixed = {"photo": self.photo.pk, "about": control.pk, "position": self.next_position}
            self.next_position += 1
            return [Add(str(uuid4()), "pin", EMPTY | values | fixed)]
        # A pin stays where it is when its mark is taken off.
        kept = {name: value for name, value in values.items() if name not in ("x", "y")}
        placed = {name: values[name] for name in ("x", "y") if values.get(name) is not None}
        return [Set(str(pin.pk), "pin", kept | placed)]

    def again(self, conflict: Conflict) -> Self:
        photo = Photo.objects.select_related("rig__production", "image").get(pk=self.photo.pk)
        form = type(self)(photo)
        at_stake = [name for clash in conflict.clashes for name in self.fields_of(clash)]
        form.conflicted = True
        known = [name for name in at_stake if name in form.fields]
        form.asked = dict.fromkeys(known, self.base)
        form.now_texts = {name: form.now_text(name) for name in known}
        form.retain_typed(self, self.typed())
        return form

    def panel_label(self, name: str) -> str:
        return leading(self.part_of[name][0], self[name].label)

    @property
    def rows(self) -> list[MarkedControl]:
        """The controls in their order, each with its open fields."""
        shown = {field.name: field for field in self.open_fields}
        return [self._row(control, shown) for control in self.controls]

    def _row(self, control: Control, shown: dict[str, forms.BoundField]) -> MarkedControl:
        keys = {name: f"{name}-{control.pk}" for name in _columns(control)}
        return MarkedControl(
            control,
            self.pins.get(control.pk),
            {name: shown[key] for name, key in keys.items() if key in shown},
            control.style in SWITCHES,
            shown.get(f"document-{control.pk}"),
        )


def controls_on(photo: Photo) -> list[Control]:
    """What the photo may show: the dials and switches of its unit, or else of all units; what has
    a pin on it comes first. One query besides that of the pins."""
    controls = Control.objects.live().filter(rig=photo.rig_id, unit__retired=False)
    controls = controls.filter(style__in=[*DIALS, *SWITCHES]).select_related("unit")
    if controls.filter(unit=photo.about).exists():
        controls = controls.filter(unit=photo.about)
    return sorted(in_order(controls), key=lambda each: (each.unit.position, str(each.unit_id)))


def _columns(control: Control) -> dict[str, str]:
    return LEVER if control.style in SWITCHES else ROUND


def _typed_number(value: Any) -> Decimal | None:
    return None if value in (None, "") else Decimal(str(value))


def _field(name: str) -> forms.Field:
    labels = {
        "x": _("middle, from the left, %"),
        "y": _("from the top, %"),
        "radius": _("radius, % of the width"),
        "inner": _("part of it under another cap, %"),
        "endx": _("fader: far end, from the left, %"),
        "endy": _("fader: far end, from the top, %"),
    }
    if name == "spots":
        return forms.CharField(
            label=_("its positions in order: % from the left and from the top; the next"),
            required=False,
            max_length=200,
            widget=forms.TextInput(attrs={"placeholder": "31.2 40; 31.2 44"}),
        )
    if name in ENDS:
        return forms.CharField(
            label=ENDS[name][0],
            required=False,
            max_length=10,
            widget=forms.TextInput(attrs={"placeholder": ENDS[name][1]}),
        )
    if name == "setting":
        return forms.CharField(label=_("stands on the photo at"), required=False, max_length=120)
    return PerCentField(label=labels[name], required=False)
