"""Pins of photos: their numbers, what they point at, and the state of that. No queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from django.utils.translation import gettext as _

from core.languages.words import each_of
from rigs.changes.edits import Value
from rigs.wording.names import Names
from rigs.wording.placement import placement_words
from rigs.wording.unit_views import ControlView, PhotoView, PinPlace, PinView, UnitView
from rigs.wording.views import InputView, RigView

Pins = Sequence[tuple[str, Mapping[str, Value]]]  # in the order of their numbers


def with_pins(view: RigView, pins: Pins, names: Names) -> RigView:
    """`view` with its pins on their photos, and each thing with the pins that point at it."""
    if not pins:
        return view
    known = _known(view)
    on = defaultdict(list)
    for part, fields in pins:
        photo = str(fields.get("photo"))
        subject = str(names.parts.get(photo, {}).get("about") or "")
        on[photo].append(_pin(part, fields, names, known, subject))
    pinned = {photo.id: tuple(on[photo.id]) for photo in view.all_photos()}
    seen = _seen(view, pinned)
    units = tuple(_unit(unit, pinned, seen) for unit in view.units)
    inputs = tuple(
        replace(e, photos=_photos(e.photos, pinned), seen_on=seen[e.id]) for e in view.inputs
    )
    return replace(
        view,
        units=units,
        inputs=inputs,
        photos=_photos(view.photos, pinned),
        by_id={**{unit.id: unit for unit in units}, **{entry.id: entry for entry in inputs}},
    )


_Known = dict[str, "tuple[str, str, UnitView | ControlView | InputView]"]


def _known(view: RigView) -> _Known:
    """Everything a pin may point at, by id: its kind, the unit it belongs to, itself."""
    known: _Known = {}
    for unit in view.units:
        known[unit.id] = ("unit", unit.id, unit)
        known |= {control.id: ("control", unit.id, control) for control in unit.controls}
    return known | {entry.id: ("input", entry.unit, entry) for entry in view.inputs}


def _pin(
    part: str, fields: Mapping[str, Value], names: Names, known: _Known, subject: str
) -> PinView:
    """`subject`: what the photo shows; its own controls need not say whose they are."""
    about = str(fields.get("about") or "")
    kind, unit, thing = known.get(about, ("", "", None))
    named = names.of if unit == subject else names.in_full
    return PinView(
        id=part,
        number=names.pins[part],
        x=Decimal(str(fields.get("x") or 0)),
        y=Decimal(str(fields.get("y") or 0)),
        words=str(fields.get("words", "")),
        about=about,
        about_kind=kind,
        unit=unit,
        target=named(about) if about else "",
        now=_now(thing),
    )


def _now(thing: UnitView | ControlView | InputView | None) -> str:
    """The state of what is pointed at: a setting, a microphone and its place, a make and tuning."""
    if isinstance(thing, ControlView):
        return thing.text or _("not set")
    if isinstance(thing, InputView):
        device = thing.device.name if thing.device else ""
        parts = (device, placement_words(thing.known))
        return each_of(parts) or _("nothing noted")
    if isinstance(thing, UnitView):
        tuned = _("tuned {tuning}").format(tuning=thing.tuning) if thing.tuning else ""
        return each_of((thing.make, tuned))
    return ""


def _photos(
    photos: tuple[PhotoView, ...], pinned: Mapping[str, tuple[PinView, ...]]
) -> tuple[PhotoView, ...]:
    return tuple(replace(photo, pins=pinned[photo.id]) for photo in photos)


def _seen(
    view: RigView, pinned: Mapping[str, tuple[PinView, ...]]
) -> defaultdict[str, tuple[PinPlace, ...]]:
    places: defaultdict[str, tuple[PinPlace, ...]] = defaultdict(tuple)
    for photo in view.all_photos():
        for pin in pinned[photo.id]:
            places[pin.about] += (PinPlace(photo.id, photo.alternative, pin.number),)
    return places


def _unit(
    unit: UnitView,
    pinned: Mapping[str, tuple[PinView, ...]],
    seen: defaultdict[str, tuple[PinPlace, ...]],
) -> UnitView:
    controls = tuple(replace(c, seen_on=seen[c.id]) for c in unit.controls)
    return replace(
        unit, controls=controls, photos=_photos(unit.photos, pinned), seen_on=seen[unit.id]
    )
