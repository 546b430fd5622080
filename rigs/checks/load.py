"""Lay rigs out for the rules, from the database: as many queries for one rig as for many."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from uuid import UUID

from core import clock
from core.models import Show, Song
from rigs.changes.edits import Snapshot
from rigs.checks.bench import Bench, BenchDevice
from rigs.checks.between_songs import ASSUMED, ChangeSeconds, Piece
from rigs.checks.build import build, number
from rigs.models import (
    ChangeTimes,
    Control,
    Device,
    Fact,
    Input,
    Link,
    Rig,
    SongSetting,
    Spare,
    Unit,
)
from rigs.places import MEASURED
from rigs.revisions.read import parts_of
from rigs.signal.microphones import GRADIENT_SHARE


def benches(
    rigs: Sequence[Rig], states: Mapping[UUID, Snapshot] | None = None
) -> dict[UUID, Bench]:
    """The bench of each rig as it is today, by the rig's id.

    Eight queries, and two for what apps downstream measured; none without rigs. `states` are the
    rigs as they are, where they were read already.
    """
    if not rigs:
        return {}
    states = states or snapshots(rigs)
    productions = {rig.production_id for rig in rigs}
    devices, air = devices_of(productions), air_of(productions)
    # Most rigs have no song settings, and for those the set is not read at all.
    changing = {rig.production_id for rig in rigs if _has_songs(states[rig.pk])}
    songs = set_of(changing) if changing else {}
    times = times_of(changing) if changing else {}
    measured = MEASURED.call(rigs)
    return {
        rig.pk: build(
            str(rig.pk),
            states[rig.pk],
            devices,
            air.get(rig.production_id),
            songs.get(rig.production_id, ()),
            times.get(rig.production_id, ASSUMED),
            tuple(chain.from_iterable(each.get(rig.pk, ()) for each in measured)),
        )
        for rig in rigs
    }


def _has_songs(state: Snapshot) -> bool:
    return any(fields["kind"] == SongSetting.KIND for fields in state.values())


def set_of(productions: Iterable[UUID]) -> dict[UUID, list[Piece]]:
    """The set of each production in order. One query."""
    pieces: dict[UUID, list[Piece]] = defaultdict(list)
    rows = Song.objects.filter(production__in=list(productions), retired_at=None)
    for song in rows.order_by("position", "title", "pk"):
        piece = Piece(str(song.pk), song.title, song.length_s, song.gap_s)
        pieces[song.production_id].append(piece)
    return pieces


def snapshots(rigs: Sequence[Rig]) -> dict[UUID, Snapshot]:
    """The parts of each rig that rules read, photos left out."""
    states: dict[UUID, Snapshot] = {rig.pk: {str(rig.pk): rig.fields()} for rig in rigs}
    for model in (Unit, Control, Fact, Spare, Link, Input, SongSetting):
        for rig, part, fields in parts_of(model, states):
            states[rig][part] = fields
    return states


def devices_of(productions: Iterable[UUID]) -> dict[str, BenchDevice]:
    """Every device of the productions by its id, the retired ones too: a rig may still name one."""
    devices = Device.objects.filter(production__in=productions)
    return {str(device.pk): bench_device(device) for device in devices}


def bench_device(device: Device) -> BenchDevice:
    # A sensitivity or an impedance of 0 is a field somebody filled to get past it.
    sensitivity = number(device.sensitivity_mv_pa) or None
    return BenchDevice(
        str(device.pk),
        str(device),
        device.form,
        device.principle,
        device.phantom,
        sensitivity / 1000 if sensitivity else None,
        number(device.max_spl_db),
        number(device.impedance_ohm) or None,
        device.get_pattern_display() if device.pattern else "",
        GRADIENT_SHARE.get(device.pattern),
    )


def air_of(productions: Iterable[UUID]) -> dict[UUID, float]:
    """The temperature of each production's next show, where it is stated."""
    shows = Show.objects.filter(
        leg__production__in=productions,
        retired_at=None,
        leg__retired_at=None,
        held_on__gte=clock.now().date(),
    )
    coming = shows.order_by("held_on").values_list("leg__production", "temperature_c")
    next_shows: dict[UUID, object] = {}
    for production, celsius in coming:
        # Only the next show counts, even where it states no temperature and a later one does.
        next_shows.setdefault(production, celsius)
    return {key: value for key, c in next_shows.items() if (value := number(c)) is not None}


def times_of(productions: Iterable[UUID]) -> dict[UUID, ChangeSeconds]:
    """The times of changes by production, of those that have stated some. One query."""
    rows = ChangeTimes.objects.filter(production__in=list(productions))
    return {row.production_id: as_times(row) for row in rows}


def as_times(row: ChangeTimes) -> ChangeSeconds:
    return ChangeSeconds(
        ASSUMED.change if row.change_s is None else row.change_s,
        ASSUMED.string if row.string_s is None else row.string_s,
    )
