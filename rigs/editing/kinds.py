"""A form for each kind of part that is typed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

from django import forms
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from rigs.changes.edits import Add, Edit, Set
from rigs.dial_scales import DIALS, STYLES
from rigs.editing.choices import ChoosesSources
from rigs.editing.dials import AsksReading, reading_field, unread_dials
from rigs.editing.part_forms import PartForm
from rigs.editing.swaps import DecidesSwap
from rigs.fields import (
    DEVICE,
    FOR_CUSTOMS,
    IN_PLAN,
    MIX,
    NOTES,
    ON_THE_ROAD,
    PLAYBACK,
    WHERE,
    help_texts_of,
    labels_of,
    rows_of,
)
from rigs.gear import gear_choices
from rigs.models import Control, Device, Input, Link, Rig, Spare, Unit
from rigs.settings_of_controls import Style

NOTE_ROWS = {"notes": forms.Textarea(attrs={"rows": 3})}


def units_of(rig: Rig, *pointed_at: Any) -> Any:
    """The units in use, and those that a part already points at."""
    return Unit.objects.filter(
        Q(retired=False) | Q(pk__in=[pk for pk in pointed_at if pk]), rig=rig
    )


def devices_of(rig: Rig, current: Any = None) -> Any:
    """The microphones and DIs that are not retired, those that no input has first, and the one
    that an input already has."""
    devices = Device.objects.filter(
        Q(retired_at=None) | Q(pk=current), production=rig.production_id
    )
    inputs = Input.objects.filter(device=OuterRef("pk"), retired=False, rig__retired=False)
    # False sorts before True, so devices that no input has come first.
    return devices.order_by(Exists(inputs), "form", "maker", "name")


class RigForm(PartForm):
    class Meta:
        model = Rig
        fields = ("name", "variant", "sound", "notes")
        widgets = {"sound": forms.Textarea(attrs={"rows": 4}), **NOTE_ROWS}


def form_groups(kind: str, *headings: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The fields of a kind of part under the headings of its form, in the form's order."""
    rows = sorted(rows_of(kind), key=lambda row: row.group_order)
    return tuple((title, tuple(r.name for r in rows if r.group == title)) for title in headings)


_OF_UNIT = form_groups(Unit.KIND, ON_THE_ROAD, FOR_CUSTOMS, IN_PLAN, PLAYBACK)
_OF_INPUT = form_groups(Input.KIND, DEVICE, WHERE, IN_PLAN, MIX, NOTES)


def _names_in(groups: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[str, ...]:
    return tuple(name for _title, names in groups for name in names)


class UnitForm(PartForm):
    GROUPS = _OF_UNIT

    class Meta:
        model = Unit
        fields = (
            "name",
            "gear",
            "maker",
            "model",
            "serial",
            "tuning",
            "notes",
            *_names_in(_OF_UNIT),
        )
        widgets = NOTE_ROWS
        help_texts = help_texts_of(Unit.KIND)

    def limit_choices(self) -> None:
        """Only what belongs to a kit has a place in its plan, and only what plays back a session;
        what is there stays seen."""
        self.fields["gear"].choices = gear_choices()  # type: ignore[attr-defined]
        traits = cast("Unit", self.row).traits
        for names, is_for_it in (
            (dict(_OF_UNIT)[IN_PLAN], traits.of_a_kit),
            (("machine", "session"), traits.plays_back),
            (("midi_channel", "programs_from"), traits.takes_midi),
        ):
            for name in () if is_for_it else names:
                unset = self.initial.get(name) in (None, "")
                if unset and self.add_prefix(name) not in self.data:
                    del self.fields[name]


class SpareForm(PartForm):
    # A set is written down string by string, valve by valve: the same goods at the same intervals.
    SAME_AGAIN = ("sort", "maker", "every", "per")

    GROUPS = (
        (gettext_noop("Strings and heads"), ("gauges", "side", "pitch", "pitch_at")),
        (gettext_noop("How many, how often"), ("in_use", "carried", "every", "per")),
    )

    class Meta:
        model = Spare
        fields = (
            "sort",
            "what",
            "maker",
            "gauges",
            "side",
            "pitch",
            "pitch_at",
            "in_use",
            "carried",
            "every",
            "per",
        )


class ControlForm(AsksReading, PartForm):
    """Where nobody has said how the dials of the unit are read, the setting decides, or it asks."""

    GROUPS = ((gettext_noop("What it offers"), ("low", "high", "choices", "symbol")),)
    # A panel is a row of like dials: the name and the setting tell them apart.
    SAME_AGAIN = ("style", "low", "high", "symbol")

    class Meta:
        model = Control
        fields = ("name", "style", "setting", "low", "high", "choices", "symbol")

    def limit_choices(self) -> None:
        control = cast("Control", self.row)
        others = list(Control.objects.live().filter(unit=control.unit_id).exclude(pk=control.pk))
        if self.is_new and DIALS & {other.style for other in others} == {Style.DIAL}:
            self.initial["style"] = Style.DIAL.value
        self.unread = unread_dials([*others, control])
        self.new_styles: dict[str, Style] = {}
        if control in self.unread:
            self.fields["dials"] = reading_field()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        control = cast("Control", self.row)
        setting, style = cleaned.get("setting"), cleaned.get("style", control.style)
        if "dials" in self.fields and setting and style == Style.CLOCK:
            name = str(cleaned.get("name") or control.name)
            reading = self.decide({name: setting}, numbered=control.unit.traits.numbered)
            if STYLES[reading] != style:
                self.new_styles = {str(each.pk): STYLES[reading] for each in self.unread}
        return cleaned

    def edits(self) -> list[Edit]:
        """With the other dials of the unit, where this one says how they are all read."""
        # `pop` takes the own control out of new_styles, which is then of the other dials alone.
        own = [
            replace(edit, fields={**edit.fields, "style": self.new_styles.pop(edit.part)})
            if isinstance(edit, Add | Set) and edit.part in self.new_styles
            else edit
            for edit in super().edits()
        ]
        return [*own, *(Set(p, "control", {"style": s}) for p, s in self.new_styles.items())]


class LinkForm(PartForm):
    class Meta:
        model = Link
        fields = (
            "source",
            "target",
            "from_socket",
            "to_socket",
            "carries",
            "cable",
            "connectors",
            "length_m",
        )
        labels = labels_of(Link.KIND)
        help_texts = help_texts_of(Link.KIND)

    def limit_choices(self) -> None:
        for name in ("source", "target"):
            ends: Any = self.fields[name]
            ends.queryset = units_of(self.rig, self.initial.get(name))
            ends.empty_label = gettext_lazy("choose a unit")


class InputForm(DecidesSwap, ChoosesSources):
    # What it picks up besides is asked below its own unit.
    GROUPS = tuple(
        (title, tuple(n for name in names for n in ((name, "also") if name == "unit" else (name,))))
        for title, names in _OF_INPUT
    )

    class Meta:
        model = Input
        fields = ("number", "name", *_names_in(_OF_INPUT))
        widgets = NOTE_ROWS
        help_texts = help_texts_of(Input.KIND)

    def limit_choices(self) -> None:
        self.add_decided()
        self.add_choices()
        units: Any = self.fields["unit"]
        units.queryset = units_of(self.rig, self.initial.get("unit"))
        units.empty_label = _("nothing in the rig (room, audience …)")
        devices: Any = self.fields["device"]
        devices.queryset = devices_of(self.rig, self.initial.get("device"))
        devices.empty_label = _("not decided yet")

    def typed(self) -> list[str]:
        """What was asked about a swap counts as typed, whether or not it was changed."""
        asked = self.decided() if hasattr(self, "cleaned_data") else []
        return list(dict.fromkeys([*super().typed(), *asked]))
