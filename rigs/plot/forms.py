"""Forms of the plot: the stage, a riser, a drop of mains."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple, cast
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.base import LengthInput
from core.languages.words import leading
from core.models import Player, Production, Show, User
from core.units import Length, format_length, plain
from rigs.checks.supplies import circuit_key
from rigs.editing.refusable import Refusable
from rigs.models import MainsDrop, PlotPlace, Riser, StageSize, Unit
from rigs.plot.carried import Moved
from rigs.plot.circuits import may_be_plugged
from rigs.plot.facing import facing_words, read_facing
from rigs.plot.services import move, save_drop, save_riser, save_stage
from rigs.plot.things import Spot, StagePlot, Thing, What


class FacingInput(forms.CharField):
    """Which way a thing faces, in words or degrees; cleans to degrees, None where left empty."""

    def __init__(self, **more: Any) -> None:
        more.setdefault("label", gettext_lazy("faces"))
        super().__init__(required=False, max_length=40, **more)
        attrs = {"autocapitalize": "off", "spellcheck": "false", "list": FACING_LIST}
        self.widget.attrs.update(attrs)

    def clean(self, value: Any) -> Any:
        try:
            return read_facing(super().clean(value))
        except ValueError as error:
            raise ValidationError(str(error)) from None


# What is offered where a direction is typed (rigs.plot.facing.offered).
FACING_LIST = "directions"


class StageForm(Refusable):
    def save(self, commit: bool = True) -> StageSize:
        return save_stage(self.instance, by=self.bump())

    class Meta:
        model = StageSize
        fields = ("width_m", "depth_m", "words")


class RiserForm(Refusable):
    SAME_AGAIN = ("width_m", "depth_m", "height_m")
    faces = FacingInput(
        help_text=gettext_lazy(
            "downstage, upstage left, 30° stage right … What stands on the riser moves with it."
        )
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.initial["faces"] = facing_words(self.instance.faces)
        players = Player.objects.live().filter(production=self.instance.production)
        field = self.fields["player"]
        field.queryset, field.empty_label = players, _("nobody’s")  # type: ignore[attr-defined]

    def save(self, commit: bool = True) -> Riser:
        return save_riser(self.instance, by=self.bump())

    class Meta:
        model = Riser
        fields = (
            "name",
            "width_m",
            "depth_m",
            "height_m",
            "right_m",
            "up_m",
            "faces",
            "player",
            "words",
        )


class DropForm(Refusable):
    """A drop, and the units that it feeds. `shown` are those that the page showed as fed: only what
    was ticked or unticked since is written, whoever plugged others meanwhile."""

    SAME_AGAIN = ("volts", "hertz", "amps")
    feeds = forms.MultipleChoiceField(
        label=gettext_lazy("feeds"),
        help_text=gettext_lazy(
            "What is plugged in there. A unit names the drop as its mains circuit."
        ),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.earlier = "" if self.instance._state.adding else self.instance.name
        units = may_be_plugged(self.instance.production)
        self.fields["feeds"].choices = [(str(unit.pk), _called(unit)) for unit in units]  # type: ignore[attr-defined]
        key = circuit_key(self.earlier)
        fed = [str(u.pk) for u in units if key and circuit_key(u.mains_circuit) == key]
        self.initial.update(feeds=fed, shown=" ".join(fed))

    def clean_shown(self) -> set[UUID]:
        try:
            return {UUID(each) for each in self.cleaned_data["shown"].split()}
        except ValueError:
            raise ValidationError(_("This page is out of date. Load it again.")) from None

    def save(self, commit: bool = True) -> MainsDrop:
        ticked = {UUID(each) for each in self.cleaned_data["feeds"]}
        shown = self.cleaned_data["shown"]
        return save_drop(
            self.instance,
            earlier=self.earlier,
            into=ticked - shown,
            out_of=shown - ticked,
            by=self.bump(),
        )

    class Meta:
        model = MainsDrop
        fields = ("name", "place", "right_m", "up_m", "volts", "hertz", "amps", "supply")


class PlacesForm(forms.Form):
    """The places of all that can be moved, in lengths; dragging fills in the same fields.

    `was` of each is what the page showed: only what was typed over is written, and what somebody
    else moved meanwhile is told at its place. `carried` of a riser is filled in by the page where
    it moves what stands on it; else the server does. Of a show, `usual` of what differs goes back.
    """

    def __init__(
        self,
        plot: StagePlot,
        production: Production,
        data: Any = None,
        *,
        by: User,
        show: Show | None = None,
    ) -> None:
        self.plot, self.production, self.by, self.show = plot, production, by, show
        super().__init__(data)
        for thing in plot.movable:
            self._add(thing)

    def _add(self, thing: Thing) -> None:
        said = _said(thing)
        for name, value in said.items():
            self.fields[f"{thing.key}-{name}"] = (
                FacingInput(
                    label=_("{thing}, faces").format(thing=thing.name),
                    initial=facing_words(thing.faces),
                )
                if name == FACES
                else _length_input(thing, name, value)
            )
        hidden = {"was": _shown(said)} | ({"carried": ""} if thing.what is What.RISER else {})
        for name, value in hidden.items():
            self.fields[f"{thing.key}-{name}"] = forms.CharField(
                required=False, widget=forms.HiddenInput, initial=value
            )
        if thing.usual:
            self.fields[f"{thing.key}-usual"] = forms.BooleanField(
                required=False, label=_("As for all shows: {usual}").format(usual=thing.usual)
            )

    @property
    def groups(self) -> list[PlaceGroup]:
        """The rows kind by kind; what is wrong stands open."""
        rows = [self._row(thing) for thing in self.plot.movable]
        found = [(what.heading, [row for row in rows if row.thing.what is what]) for what in What]
        return [
            PlaceGroup(name, own, any(field.errors for row in own for _, field in row.fields))
            for name, own in found
            if own
        ]

    def _row(self, thing: Thing) -> PlaceRow:
        hidden = [f"{thing.key}-{name}" for name in ("was", "carried")]
        usual = f"{thing.key}-usual"
        return PlaceRow(
            thing,
            [(str(LABELS[name]), self[f"{thing.key}-{name}"]) for name in _said(thing)],
            [self[name] for name in hidden if name in self.fields],
            self[usual] if usual in self.fields else None,
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.moved = [moved for thing in self.plot.movable if (moved := self._moved(thing))]
        return cleaned

    def _moved(self, thing: Thing) -> Moved | None:
        now = _said(thing)
        names = {name: f"{thing.key}-{name}" for name in now}
        if self.cleaned_data.get(f"{thing.key}-usual"):
            return Moved(thing.key, thing.name, None, usual=True)
        # A page that was made before the thing was there says nothing of it.
        if any(field in self.errors or field not in self.data for field in names.values()):
            return None
        typed = {name: self.cleaned_data[field] for name, field in names.items()}
        was = self.cleaned_data[f"{thing.key}-was"]
        if _shown(typed) in (was, _shown(now)):
            return None
        if was != _shown(now):
            self._tell(thing, now)
            return None
        if (typed["right"] is None) != (typed["up"] is None):
            missing = "right" if typed["right"] is None else "up"
            self.add_error(names[missing], _("A place needs both: to stage right, and upstage."))
            return None
        return Moved(
            thing.key,
            thing.name,
            _spot(typed),
            _size(typed),
            turns=thing.turns,
            faces=typed.get(FACES),
            alone=bool(self.cleaned_data.get(f"{thing.key}-carried")),
        )

    def _tell(self, thing: Thing, now: Mapping[str, Any]) -> None:
        """Somebody moved it meanwhile. Whoever sends the form again has seen it."""
        data = cast(QueryDict, self.data).copy()
        data[f"{thing.key}-was"] = _shown(now)
        self.data = data
        place = thing.place or _("no place")
        self.add_error(
            f"{thing.key}-right",
            _("Now there: {place}. Save again to keep yours.").format(place=place),
        )

    def try_save(self) -> list[str] | None:
        """What changed, in sentences; None: show the errors."""
        if not self.is_bound or not self.is_valid():
            return None
        try:
            return move(self.production, self.moved, by=self.by, show=self.show)
        except ValidationError as refused:
            self.add_error(None, ValidationError(refused.messages))
            return None


class PlaceRow(NamedTuple):
    """A thing with its fields and their short labels, what the page showed of it, and the way back
    to what is said for all shows."""

    thing: Thing
    fields: list[tuple[str, forms.BoundField]]
    hidden: list[forms.BoundField]
    usual: forms.BoundField | None


class PlaceGroup(NamedTuple):
    name: str
    rows: list[PlaceRow]
    is_wrong: bool


SPOT = ("right", "up")
FACES = "faces"
LABELS = {
    "right": gettext_lazy("to stage right"),
    "up": gettext_lazy("upstage"),
    "width": gettext_lazy("width"),
    "depth": gettext_lazy("depth"),
    FACES: gettext_lazy("faces"),
}


def _length_input(thing: Thing, name: str, length: Length | None) -> LengthInput:
    return LengthInput(
        model_field=PlotPlace._meta.get_field(f"{name}_m"),  # type: ignore[arg-type]
        default_unit=length.unit if length else ("m" if name in SPOT else "cm"),
        label=f"{thing.name}, {LABELS[name]}",
        help_text="",
        initial=format_length(length.metres, length.unit) if length else "",
    )


def _said(thing: Thing) -> dict[str, Any]:
    """What can be said of a thing, by the name of its field: lengths, and degrees."""
    spot, size = thing.spot, thing.size
    said: dict[str, Any] = {
        "right": spot.right if spot else None,
        "up": spot.up if spot else None,
    }
    if thing.sized:
        said |= {"width": size.width if size else None, "depth": size.depth if size else None}
    return said | ({FACES: thing.faces} if thing.turns else {})


def _shown(said: Mapping[str, Any]) -> str:
    """The same for values that are the same, however they were typed."""
    return " ".join(
        f"{plain(each.metres)}{each.unit}"
        if isinstance(each, Length)
        else ("-" if each is None else f"{each}°")
        for each in said.values()
    )


def _spot(typed: Mapping[str, Any]) -> Spot | None:
    right, up = typed["right"], typed["up"]
    return Spot(right, up) if right is not None and up is not None else None


def _size(typed: Mapping[str, Any]) -> tuple[Length | None, Length | None] | None:
    return (typed["width"], typed["depth"]) if "width" in typed else None


def _called(unit: Unit) -> str:
    """“Ines, Bass main: Head”, with the circuit it is on now."""
    called = leading(f"{unit.rig.player}, {unit.rig}", unit)
    if not unit.mains_circuit:
        return called
    return _("{unit} (now {circuit})").format(unit=called, circuit=unit.mains_circuit)
