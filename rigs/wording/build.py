"""Make the view of a rig, in words and values for a page, from a snapshot of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from uuid import UUID

from django.utils.translation import gettext as _

from core.one_pass import once_a_pass
from rigs.changes.edits import Snapshot
from rigs.models import Device, Rig, StoredPhoto
from rigs.picked_up import picked_up
from rigs.revisions.sources import picked_up_whole
from rigs.wording import fields
from rigs.wording.names import Names, devices_in, names_in
from rigs.wording.parts import (
    Fields,
    Source,
    by_subject,
    groups_of,
    input_view,
    link_view,
    photo_view,
    units_of,
)
from rigs.wording.pins import with_pins
from rigs.wording.scenes import scenes_of
from rigs.wording.songs import songs_of
from rigs.wording.unit_views import UnitView
from rigs.wording.views import DeviceView, Elsewhere, RigView, SceneView


def snapshot_view(
    rig: Rig, snapshot: Snapshot, *, before: Snapshot | None = None, since_signed: bool = False
) -> RigView:
    """Everything in `snapshot`, display-ready, in at most six queries.

    With `before`, an earlier state, what differs from it is marked: `changed` and `was` of
    controls and settings, `is_new` of units and inputs. With `since_signed`, that state is what
    the player signed, and only controls are marked.
    """
    devices = _devices(rig, [before or {}, snapshot])
    names = names_in(rig, before or {}, snapshot, devices=_named(devices))
    source = Source(names, before, _sorted(snapshot))
    source.since_signed = since_signed
    source.devices = devices
    source.sizes = _sizes(rig, source.kinds["photo"])
    return replace(_view(rig, snapshot, source), elsewhere=_elsewhere([rig])[rig.pk])


def snapshot_views(
    states: Mapping[Rig, Snapshot], before: Mapping[Rig, Snapshot] | None = None
) -> dict[Rig, RigView]:
    """The views of several rigs of one production, in as many queries as `snapshot_view` needs.

    What differs from `before`, where that is given, is marked as there.
    """
    if not states:
        return {}
    # Any of the rigs will do: it only stands for the production that all belong to.
    one = next(iter(states))
    was = before or {}
    devices = _devices(one, [*was.values(), *states.values()])
    names = names_in(one, *was.values(), *states.values(), devices=_named(devices))
    sources = {rig: Source(names, was.get(rig), _sorted(state)) for rig, state in states.items()}
    sizes = _sizes(one, [photo for each in sources.values() for photo in each.kinds["photo"]])
    elsewhere = _elsewhere(list(states))
    views = {}
    for rig, source in sources.items():
        source.devices, source.sizes = devices, sizes
        views[rig] = replace(_view(rig, states[rig], source), elsewhere=elsewhere[rig.pk])
    return views


def _elsewhere(rigs: Collection[Rig]) -> dict[UUID, tuple[Elsewhere, ...]]:
    """The inputs of other rigs that pick up all of each. One query."""
    return {
        rig: tuple(
            Elsewhere(
                str(entry.pk),
                str(entry.rig_id),
                _("{input} in {rig}").format(input=entry, rig=entry.rig),
            )
            for entry in inputs
        )
        for rig, inputs in picked_up_whole(rigs).items()
    }


def _view(rig: Rig, snapshot: Snapshot, source: Source) -> RigView:
    photos = by_subject(photo_view(source, part, f) for part, f in source.kinds["photo"])
    units = tuple(units_of(source, photos))
    source.picked = picked_up(snapshot)
    source.picked_before = picked_up(source.before or {})
    inputs = tuple(input_view(source, part, f, photos) for part, f in source.kinds["input"])
    scenes = _scenes(source, snapshot, units)
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
        links=tuple(link_view(source, part, f) for part, f in source.kinds["link"]),
        inputs=inputs,
        groups=tuple(groups_of(source, snapshot)),
        photos=tuple(photos[""]),
        songs=songs_of(source.kinds["song_setting"], snapshot, source.names, units, scenes),
        scenes=scenes,
        snapshot=snapshot,
        by_id={**{unit.id: unit for unit in units}, **{entry.id: entry for entry in inputs}},
    )
    return with_pins(view, source.kinds["pin"], source.names)


def _scenes(source: Source, snapshot: Snapshot, units: Iterable[UnitView]) -> tuple[SceneView, ...]:
    kinds = source.kinds
    return scenes_of(kinds["scene"], kinds["scene_entry"], snapshot, source.names, units)


def set_views(
    states: Mapping[Rig, Snapshot], before: Mapping[Rig, Snapshot] | None = None
) -> dict[Rig, RigView]:
    """Units and songs of several rigs of one production, for what songs change on them.

    Three queries, however many rigs. Inputs are named where a song speaks of them, cables and
    photos are left out. With `before`, controls that stand elsewhere than there are marked.
    """
    if not states:
        return {}
    earlier = before or {}
    names = names_in(next(iter(states)), *earlier.values(), *states.values())
    return {rig: _set_view(rig, s, names, earlier.get(rig)) for rig, s in states.items()}


def _set_view(rig: Rig, snapshot: Snapshot, names: Names, before: Snapshot | None) -> RigView:
    source = Source(names, before, _sorted(snapshot))
    units = tuple(units_of(source, defaultdict(list)))
    scenes = _scenes(source, snapshot, units)
    return RigView(
        str(rig.pk),
        rig.name,
        rig.variant,
        rig.get_variant_display(),
        rig.sound,
        rig.notes,
        rig.retired,
        units,
        songs=songs_of(source.kinds["song_setting"], snapshot, names, units, scenes),
        scenes=scenes,
        snapshot=snapshot,
        by_id={unit.id: unit for unit in units},
    )


def _sorted(snapshot: Snapshot) -> dict[str, list[tuple[str, Fields]]]:
    kinds: dict[str, list[tuple[str, Fields]]] = defaultdict(list)
    for part, known in snapshot.items():
        kinds[str(known["kind"])].append((part, known))
    for parts in kinds.values():
        parts.sort(
            key=lambda item: (
                int(item[1].get("position") or 0),
                int(item[1].get("number") or 0),
                str(item[1].get("name", "")),
                item[0],
            )
        )
    return kinds


def _devices(rig: Rig, snapshots: Iterable[Snapshot]) -> dict[str, DeviceView]:
    ids = devices_in(snapshots)
    if not ids:
        return {}
    return {
        str(row.pk): DeviceView(
            str(row.pk),
            str(row),
            row.form,
            row.get_form_display(),
            row.principle,
            row.get_principle_display(),
            row.get_pattern_display(),
            row.phantom,
            row.is_retired,
            row.name,
        )
        for row in _device_rows(ids, rig.production_id)
    }


@once_a_pass
def _device_rows(ids: set[str], production: UUID) -> list[Device]:
    # Within the production, so that an id from elsewhere never shows what is not one's own.
    return list(Device.objects.filter(pk__in=ids, production=production))


def _named(devices: Mapping[str, DeviceView]) -> dict[str, str]:
    return {pk: device.name for pk, device in devices.items()}


def _sizes(rig: Rig, photos: list[tuple[str, Fields]]) -> dict[str, tuple[int, int]]:
    images = {str(known["image"]) for _, known in photos}
    return _sizes_of(images, rig.production_id) if images else {}


@once_a_pass
def _sizes_of(images: set[str], production: UUID) -> dict[str, tuple[int, int]]:
    rows = StoredPhoto.objects.filter(pk__in=images, production=production)
    return {str(row.pk): (row.width, row.height) for row in rows.only("pk", "width", "height")}
