"""Make the view of each part: units with what belongs to them, cables, inputs and photos."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from dataclasses import fields as dataclass_fields
from decimal import Decimal
from functools import cache
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core.languages.words import each_of
from rigs.changes.edits import Snapshot, Value, same
from rigs.facts import FACTS
from rigs.fields import POSITION, PartField, ValueKind, length_with_unit, lengths_of, rows_of
from rigs.gear import gear_of
from rigs.models.due import Per
from rigs.models.spares import Spare
from rigs.picked_up import NOTHING, PickedUp, in_words, members_of
from rigs.settings_of_controls import Style, angle_of
from rigs.wording import fields
from rigs.wording.changes import value_text
from rigs.wording.names import Names
from rigs.wording.unit_views import ControlView, FactView, PhotoView, SpareView, UnitView
from rigs.wording.views import DeviceView, GroupView, InputView, LinkView, OtherRig, Spec

Fields = Mapping[str, Value]


@dataclass(slots=True)
class Source:
    """A snapshot with what it points at, its parts sorted into kinds in the order of the rig."""

    names: Names
    before: Snapshot | None
    kinds: dict[str, list[tuple[str, Fields]]]
    devices: dict[str, DeviceView] = field(default_factory=dict)
    sizes: dict[str, tuple[int, int]] = field(default_factory=dict)
    since_signed: bool = False
    picked: dict[str, PickedUp] = field(default_factory=dict)
    picked_before: dict[str, PickedUp] = field(default_factory=dict)

    def heard(self, picked: PickedUp) -> str:
        """What an input picks up, in words."""
        return in_words(picked.chosen, {each: self.names.of(each) for each in picked.chosen})

    def was(self, part: str) -> Fields | None:
        """The part before; None where there is nothing to compare with."""
        return None if self.since_signed else self.control_was(part)

    def control_was(self, part: str) -> Fields | None:
        """Like `was`: of everything that differs since a signature, a page marks the controls."""
        return None if self.before is None else self.before.get(part, {})


def by_subject(photos: Iterable[PhotoView]) -> dict[str, list[PhotoView]]:
    by_part: dict[str, list[PhotoView]] = defaultdict(list)
    for photo in photos:
        by_part[photo.about].append(photo)
    return by_part


def units_of(source: Source, photos: dict[str, list[PhotoView]]) -> Iterable[UnitView]:
    controls, facts, spares = defaultdict(list), defaultdict(list), defaultdict(list)
    for part, known in source.kinds["control"]:
        controls[str(known.get("unit"))].append(_control(source, part, known))
    for part, known in source.kinds["fact"]:
        facts[str(known.get("unit"))].append(_fact(part, known))
    for part, known in source.kinds["spare"]:
        spares[str(known.get("unit"))].append(_spare(part, known))
    for part, known in source.kinds["unit"]:
        gear = gear_of(str(known.get("gear", "")))
        yield UnitView(
            id=part,
            gear=gear.key,
            gear_label=gear.words,
            icon=gear.icon,
            caution=gear.caution,
            controls=tuple(controls[part]),
            facts=tuple(facts[part]),
            photos=tuple(photos[part]),
            spares=tuple(spares[part]),
            is_new=source.was(part) == {},
            **_values(UnitView, "unit", known, without=("gear",)),
        )


def _control(source: Source, part: str, known: Fields) -> ControlView:
    setting, was = str(known.get("setting", "")), source.control_was(part)
    # None: nothing to compare with, or no such control then; “”: it was there and not set.
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
            str(known.get("style") or Style.CLOCK),
            str(known.get("setting", "")),
            _decimal(known.get("low")),
            _decimal(known.get("high")),
        )
    except ValueError:  # a setting of the time before its scale was checked
        return None


def _choices(known: Fields) -> tuple[str, ...]:
    choices = (choice.strip() for choice in str(known.get("choices", "")).split(","))
    return tuple(choice for choice in choices if choice)


def _moved(was: Fields, known: Fields) -> bool:
    """Whether a control stands elsewhere than before, which depends on its scale, too."""
    return any(
        not same(was.get(name), known.get(name))
        for name in ("setting", "style", "low", "high", "symbol")
    )


def _fact(part: str, known: Fields) -> FactView:
    key, value = str(known.get("key", "")), Decimal(str(known.get("value", 0)))
    label = FACTS[key].words if key in FACTS else key
    return FactView(
        part,
        key,
        label,
        value,
        fields.text("fact", "value", str(value), known),
        str(known.get("source", "")),
    )


def _spare(part: str, known: Fields) -> SpareView:
    def read(name: str) -> str:
        return fields.text("spare", name, known.get(name), known)

    side = read("side") if known.get("side") else ""
    what = (read("maker"), read("what"), read("gauges"), side)
    every, sort = known.get("every"), str(known.get("sort") or fields.default("spare", "sort"))
    spare = SpareView(
        id=part,
        sort=sort,
        sort_label=read("sort"),
        what=str(known.get("what", "")),
        described="",
        interval=interval(None if every is None else int(every), str(known.get("per") or "")),
        in_use=int(known.get("in_use", 1) or 0),
        carried=int(known.get("carried") or 0),
        gauges=str(known.get("gauges", "")),
        maker=str(known.get("maker", "")),
        side=side,
        pitch=str(known.get("pitch", "")),
        pitch_at=str(known.get("pitch_at", "")),
        is_head=sort == Spare.Sort.HEAD,
        is_string=sort in (Spare.Sort.STRING_SET, Spare.Sort.STRING),
    )
    tuned = _("tuned to {note}").format(note=spare.tuned) if spare.tuned else ""
    return replace(spare, described=each_of((*what, tuned)))


def interval(every: int | None, per: str) -> str:
    """“changed every 4 shows”, “changed for every show”, “changed when it is worn”."""
    if not per or every is None:
        return _("changed when it is worn")
    shows = per == Per.SHOWS
    if every == 1:
        return _("changed for every show") if shows else _("changed every day")
    if shows:
        told = ngettext("changed every {n} show", "changed every {n} shows", every)
    else:
        told = ngettext("changed every {n} day", "changed every {n} days", every)
    return told.format(n=every)


def _values(
    view: type, kind: str, known: Fields, *, without: Collection[str] = ()
) -> dict[str, Any]:
    """What a view has of the fields of a part, as values: lengths in metres with the unit they were
    written in, pointers as ids. `without` are those that it has as something else."""
    found: dict[str, Any] = {}
    for row in _rows_in(view, kind):
        if row.name not in without:
            value = known.get(row.name)
            stated = fields.default(kind, row.name) if value is None else value
            found[row.name] = _AS_VALUE.get(row.kind, _decimal)(stated)
            if row.is_length:
                found[row.unit_field] = fields.unit_of(kind, row, known)
    return found


@cache
def _rows_in(view: type, kind: str) -> tuple[PartField, ...]:
    units = {row.unit_field for row in lengths_of(kind)}
    names = {each.name for each in dataclass_fields(view)} - units
    return tuple(row for row in rows_of(kind) if row.name in names)


def link_view(source: Source, part: str, known: Fields) -> LinkView:
    return LinkView(
        id=part,
        source_name=source.names.of(known.get("source")),
        target_name=source.names.of(known.get("target")),
        carries_label=fields.text("link", "carries", known.get("carries")),
        **_values(LinkView, "link", known),
    )


def input_view(
    source: Source, part: str, known: Fields, photos: dict[str, list[PhotoView]]
) -> InputView:
    picked = source.picked.get(part, NOTHING)
    return InputView(
        id=part,
        chosen=picked.chosen,
        units=picked.units,
        heard=source.heard(picked),
        others=tuple(OtherRig(player, source.names.of(player)) for player in picked.players),
        device=source.devices.get(str(known.get("device") or "")),
        angle_text=fields.text("input", "angle_deg", known.get("angle_deg"), known),
        **_values(InputView, "input", known, without=("device",)),
        specs=tuple(_specs(source, part, known)),
        photos=tuple(photos[part]),
        is_new=source.was(part) == {},
        known=known,
    )


def _specs(source: Source, part: str, known: Fields) -> Iterable[Spec]:
    was = source.was(part)
    for row in rows_of("input"):
        name = row.name
        # A name stands above the list, a unit with its length; the order is that of the list.
        if row.names_part or row is POSITION or length_with_unit("input", name):
            continue
        if name == "unit":
            yield from _heard(source, part, bool(was))
            continue
        changed = bool(was) and not same((was or {}).get(name), known.get(name))
        if name in known or row.always_shown or changed:
            text = value_text(source.names, "input", name, known.get(name), known)
            earlier = ""
            if changed:
                earlier = value_text(source.names, "input", name, (was or {}).get(name), was or {})
            yield Spec(name, fields.label("input", name), text, changed, earlier)


def _heard(source: Source, part: str, compared: bool) -> Iterable[Spec]:
    """The line of what an input picks up, its own unit and all else."""
    now = source.heard(source.picked.get(part, NOTHING))
    was = source.heard(source.picked_before.get(part, NOTHING)) if compared else now
    if now or was:
        changed = now != was
        yield Spec("unit", fields.label("input", "unit"), now, changed, was if changed else "")


def groups_of(source: Source, snapshot: Snapshot) -> Iterable[GroupView]:
    members = members_of(snapshot)
    for part, known in source.kinds["group"]:
        units = members[part]
        names = tuple(source.names.of(unit) for unit in units)
        yield GroupView(part, str(known.get("name", "")), units, names)


def photo_view(source: Source, part: str, known: Fields) -> PhotoView:
    about = str(known.get("about") or "")
    width, height = source.sizes.get(str(known.get("image")), (0, 0))
    return PhotoView(
        part,
        str(known.get("caption", "")),
        about,
        source.names.of(about) if about else "",
        width,
        height,
        str(known.get("image")),
        fields.text("photo", "view", known.get("view")) if known.get("view") else "",
    )


def _decimal(value: Value) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _text(value: Value) -> str:
    return "" if value is None else str(value)


def _whole(value: Value) -> int | None:
    return None if value is None else int(value)


_AS_VALUE: dict[ValueKind, Callable[[Value], Any]] = {
    ValueKind.TEXT: _text,
    ValueKind.POINTER: _text,
    ValueKind.YES_NO: bool,
    ValueKind.WHOLE: _whole,
    ValueKind.PAN: lambda value: int(value or 0),
}
