"""Make a RigView of a snapshot."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from rigs.describing import fields
from rigs.describing.lines import value_text
from rigs.describing.names import Names, names_in
from rigs.describing.of_songs import songs_of
from rigs.describing.pins import with_pins
from rigs.describing.views import (
    ControlView,
    DeviceView,
    FactView,
    InputView,
    LinkView,
    PhotoView,
    RigView,
    SpareView,
    Spec,
    UnitView,
)
from rigs.facts import FACTS
from rigs.gear import GEAR
from rigs.models import Device, Input, Rig, StoredPhoto
from rigs.revisions.edits import Snapshot, Value, same
from rigs.settings_of_controls import Style, angle_of
from rigs.upkeep.due import Per

Fields = Mapping[str, Value]


@dataclass(slots=True)
class _Source:
    """A snapshot with what it points at, its parts sorted into kinds in the order of the rig."""

    names: Names
    before: Snapshot | None
    kinds: dict[str, list[tuple[str, Fields]]]
    devices: dict[str, DeviceView] = field(default_factory=dict)
    sizes: dict[str, tuple[int, int]] = field(default_factory=dict)
    since_signed: bool = False

    def was(self, part: str) -> Fields | None:
        """The part before; None where there is nothing to compare with."""
        return None if self.since_signed else self.control_was(part)

    def control_was(self, part: str) -> Fields | None:
        """Like `was`: of everything that differs since a signature, a page marks the controls."""
        return None if self.before is None else self.before.get(part, {})


def snapshot_view(
    rig: Rig, snapshot: Snapshot, *, before: Snapshot | None = None, since_signed: bool = False
) -> RigView:
    """Everything in `snapshot`, display-ready, in at most five queries.

    With `before`, an earlier state, what differs from it is marked: `changed` and `was` of
    controls and settings, `is_new` of units and inputs. With `since_signed`, that state is what
    the player signed, and only controls are marked.
    """
    source = _Source(names_in(rig, before or {}, snapshot), before, _sorted(snapshot))
    source.since_signed = since_signed
    source.devices = _devices(rig, [snapshot])
    source.sizes = _sizes(rig, source.kinds["photo"])
    return _view(rig, snapshot, source)


def snapshot_views(states: Mapping[Rig, Snapshot]) -> dict[Rig, RigView]:
    """The same of several rigs of one production, in as many queries."""
    if not states:
        return {}
    one = next(iter(states))
    names = names_in(one, *states.values())
    sources = {rig: _Source(names, None, _sorted(state)) for rig, state in states.items()}
    devices = _devices(one, states.values())
    sizes = _sizes(one, [photo for each in sources.values() for photo in each.kinds["photo"]])
    views = {}
    for rig, source in sources.items():
        source.devices, source.sizes = devices, sizes
        views[rig] = _view(rig, states[rig], source)
    return views


def _view(rig: Rig, snapshot: Snapshot, source: _Source) -> RigView:
    photos = _by(_photo(source, part, f) for part, f in source.kinds["photo"])
    units = tuple(_units(source, photos))
    inputs = tuple(_input(source, part, f, photos) for part, f in source.kinds["input"])
    own = snapshot.get(str(rig.pk), {})
    view = RigView(
        id=str(rig.pk),
        name=str(own.get("name") or rig.name),
        variant=str(own.get("variant") or fields.default("rig", "variant")),
        variant_label=fields.text("rig", "variant", own.get("variant")),
        sound=str(own.get("sound", "")),
        notes=str(own.get("notes", "")),
        retired=bool(own.get("retired", False)),
        units=units,
        links=tuple(_link(source, part, f) for part, f in source.kinds["link"]),
        inputs=inputs,
        photos=tuple(photos[""]),
        songs=songs_of(source.kinds["song_setting"], snapshot, source.names, units),
        by_id={**{unit.id: unit for unit in units}, **{entry.id: entry for entry in inputs}},
    )
    return with_pins(view, source.kinds["pin"], source.names)


def set_views(states: Mapping[Rig, Snapshot]) -> dict[Rig, RigView]:
    """Units and songs of several rigs of one production, for what songs change on them.

    Three queries, however many rigs. Inputs are named where a song speaks of them, cables and
    photos are left out.
    """
    if not states:
        return {}
    names = names_in(next(iter(states)), *states.values())
    return {rig: _set_view(rig, state, names) for rig, state in states.items()}


def _set_view(rig: Rig, snapshot: Snapshot, names: Names) -> RigView:
    source = _Source(names, None, _sorted(snapshot))
    units = tuple(_units(source, defaultdict(list)))
    return RigView(
        str(rig.pk), rig.name, rig.variant, rig.get_variant_display(), rig.sound, rig.notes,
        rig.retired, units, songs=songs_of(source.kinds["song_setting"], snapshot, names, units),
        by_id={unit.id: unit for unit in units},
    )  # fmt: skip


def _sorted(snapshot: Snapshot) -> dict[str, list[tuple[str, Fields]]]:
    kinds: dict[str, list[tuple[str, Fields]]] = defaultdict(list)
    for part, known in snapshot.items():
        kinds[str(known["kind"])].append((part, known))
    for parts in kinds.values():
        parts.sort(key=lambda item: (
            int(item[1].get("position") or 0), int(item[1].get("number") or 0),
            str(item[1].get("name", "")), item[0],
        ))  # fmt: skip
    return kinds


def _by(photos: Iterable[PhotoView]) -> dict[str, list[PhotoView]]:
    found: dict[str, list[PhotoView]] = defaultdict(list)
    for photo in photos:
        found[photo.about].append(photo)
    return found


def _units(source: _Source, photos: dict[str, list[PhotoView]]) -> Iterable[UnitView]:
    controls, facts, spares = defaultdict(list), defaultdict(list), defaultdict(list)
    for part, known in source.kinds["control"]:
        controls[str(known.get("unit"))].append(_control(source, part, known))
    for part, known in source.kinds["fact"]:
        facts[str(known.get("unit"))].append(_fact(part, known))
    for part, known in source.kinds["spare"]:
        spares[str(known.get("unit"))].append(_spare(part, known))
    for part, known in source.kinds["unit"]:
        gear = GEAR.get(str(known.get("gear") or "other"), GEAR["other"])
        texts: dict[str, Any] = {
            name: str(known.get(name, ""))
            for name in (
                "name",
                "maker",
                "model",
                "serial",
                "tuning",
                "notes",
                "stage_position",
                "packed_in",
            )
        }
        yield UnitView(
            id=part, gear=gear.key, gear_label=gear.label, icon=gear.icon, caution=gear.caution,
            controls=tuple(controls[part]), facts=tuple(facts[part]), photos=tuple(photos[part]),
            spares=tuple(spares[part]), is_new=source.was(part) == {}, **_plan("unit", known),
            **texts,
        )  # fmt: skip


def _control(source: _Source, part: str, known: Fields) -> ControlView:
    setting, was = str(known.get("setting", "")), source.control_was(part)
    earlier = None if not was else str(was.get("setting", ""))
    changed = was is not None and (was == {} or _moved(was, known))
    return ControlView(
        id=part,
        name=str(known.get("name", "")),
        style=str(known.get("style") or Style.CLOCK),
        setting=setting,
        text=fields.text("control", "setting", setting, known),
        low=_decimal(known.get("low")),
        high=_decimal(known.get("high")),
        choices=_choices(known),
        symbol=str(known.get("symbol", "")),
        changed=changed,
        was=earlier if changed else None,
        was_text=fields.text("control", "setting", earlier, was or {}) if changed else "",
        angle=_angle(known),
        was_angle=_angle(was) if was else None,
        since_signed=changed and source.since_signed,
    )


def _angle(known: Fields) -> float | None:
    try:
        return angle_of(
            str(known.get("style") or Style.CLOCK), str(known.get("setting", "")),
            _decimal(known.get("low")), _decimal(known.get("high")),
        )  # fmt: skip
    except ValueError:  # a setting of the time before its scale was checked
        return None


def _choices(known: Fields) -> tuple[str, ...]:
    found = (choice.strip() for choice in str(known.get("choices", "")).split(","))
    return tuple(choice for choice in found if choice)


def _moved(was: Fields, known: Fields) -> bool:
    """Where a control stands depends on its scale, too."""
    return any(
        not same(was.get(name), known.get(name))
        for name in ("setting", "style", "low", "high", "symbol")
    )


def _fact(part: str, known: Fields) -> FactView:
    key, value = str(known.get("key", "")), Decimal(str(known.get("value", 0)))
    label = FACTS[key].label if key in FACTS else key
    return FactView(
        part, key, label, value, fields.text("fact", "value", str(value), known),
        str(known.get("source", "")),
    )  # fmt: skip


def _spare(part: str, known: Fields) -> SpareView:
    def read(name: str) -> str:
        return fields.text("spare", name, known.get(name), known)

    what = (read("maker"), read("what"), read("gauges"), read("side") if known.get("side") else "")
    tuned = f"tuned to {known['pitch']}" if known.get("pitch") else ""
    every = known.get("every")
    return SpareView(
        id=part, sort=str(known.get("sort") or fields.default("spare", "sort")),
        sort_label=read("sort"), what=str(known.get("what", "")),
        told=", ".join(text for text in (*what, tuned) if text),
        interval=interval(None if every is None else int(every), str(known.get("per") or "")),
        in_use=int(known.get("in_use", 1) or 0), carried=int(known.get("carried") or 0),
        gauges=str(known.get("gauges", "")),
    )  # fmt: skip


def interval(every: int | None, per: str) -> str:
    """“changed every 4 shows”, “changed for every show”, “changed when it is worn”."""
    if not per or every is None:
        return "changed when it is worn"
    if every == 1:
        return "changed for every show" if per == Per.SHOWS else "changed every day"
    return f"changed every {every} {per}"


def _plan(kind: str, known: Fields) -> dict[str, Any]:
    """Where it is in a plan of the kit, as the fields of its view."""
    found: dict[str, Any] = {}
    for name in ("plan_right", "plan_front"):
        found[f"{name}_m"] = _decimal(known.get(f"{name}_m"))
        found[f"{name}_text"] = fields.text(kind, f"{name}_m", known.get(f"{name}_m"), known)
    return found


def _link(source: _Source, part: str, known: Fields) -> LinkView:
    start, end = str(known.get("source")), str(known.get("target"))
    return LinkView(
        id=part, source=start, target=end,
        source_name=source.names.of(start), target_name=source.names.of(end),
        from_socket=str(known.get("from_socket", "")), to_socket=str(known.get("to_socket", "")),
        carries=str(known.get("carries") or fields.default("link", "carries")),
        carries_label=fields.text("link", "carries", known.get("carries")),
        cable=str(known.get("cable", "")), connectors=str(known.get("connectors", "")),
        length_m=_decimal(known.get("length_m")),
        length_text=fields.text("link", "length_m", known.get("length_m"), known),
    )  # fmt: skip


def _input(
    source: _Source, part: str, known: Fields, photos: dict[str, list[PhotoView]]
) -> InputView:
    unit = str(known.get("unit") or "")
    number = known.get("number")

    def read(name: str) -> str:
        return fields.text("input", name, known.get(name), known)

    return InputView(
        id=part,
        number=None if number is None else int(number),
        name=str(known.get("name", "")),
        unit=unit,
        unit_name=source.names.of(unit) if unit else "",
        device=source.devices.get(str(known.get("device") or "")),
        aimed_at=str(known.get("aimed_at", "")),
        reference_point=str(known.get("reference_point", "")),
        distance_m=_decimal(known.get("distance_m")), distance_text=read("distance_m"),
        angle_deg=_decimal(known.get("angle_deg")), angle_text=read("angle_deg"),
        height_m=_decimal(known.get("height_m")), height_text=read("height_m"),
        offset_m=_decimal(known.get("offset_m")), offset_text=read("offset_m"),
        **_plan("input", known),
        stand=str(known.get("stand", "")), notes=str(known.get("notes", "")),
        phantom=bool(known.get("phantom", False)),
        reversed_polarity=bool(known.get("reversed_polarity", False)),
        pan=int(known.get("pan") or 0),
        specs=tuple(_specs(source, part, known)),
        photos=tuple(photos[part]),
        is_new=source.was(part) == {},
    )  # fmt: skip


# What an input always says, even where it stands at its default.
_ALWAYS = frozenset({"device", "phantom", "pan"})
_UNTOLD = frozenset({"number", "name", "position", *fields.LENGTHS.values()})


def _specs(source: _Source, part: str, known: Fields) -> Iterable[Spec]:
    was = source.was(part)
    for name in Input.TRACKED:
        if name in _UNTOLD:
            continue
        text = value_text(source.names, "input", name, known.get(name), known)
        changed = bool(was) and not same((was or {}).get(name), known.get(name))
        if name in known or name in _ALWAYS or changed:
            earlier = ""
            if changed:
                earlier = value_text(source.names, "input", name, (was or {}).get(name), was or {})
            yield Spec(name, fields.label("input", name), text, changed, earlier)


def _photo(source: _Source, part: str, known: Fields) -> PhotoView:
    about = str(known.get("about") or "")
    width, height = source.sizes.get(str(known.get("image")), (0, 0))
    return PhotoView(
        part, str(known.get("caption", "")), about, source.names.of(about) if about else "",
        width, height, str(known.get("image")),
    )  # fmt: skip


def _decimal(value: Value) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _devices(rig: Rig, snapshots: Iterable[Snapshot]) -> dict[str, DeviceView]:
    wanted = {str(f["device"]) for each in snapshots for f in each.values() if f.get("device")}
    if not wanted:
        return {}
    rows = Device.objects.filter(pk__in=wanted, production=rig.production_id)
    return {
        str(row.pk): DeviceView(
            str(row.pk), str(row), row.form, row.get_form_display(), row.principle,
            row.get_principle_display(), row.get_pattern_display(), row.phantom, row.is_retired,
            row.name,
        )
        for row in rows
    }  # fmt: skip


def _sizes(rig: Rig, photos: list[tuple[str, Fields]]) -> dict[str, tuple[int, int]]:
    wanted = {str(known["image"]) for _, known in photos}
    if not wanted:
        return {}
    rows = StoredPhoto.objects.filter(pk__in=wanted, production=rig.production_id)
    return {str(row.pk): (row.width, row.height) for row in rows.only("pk", "width", "height")}
