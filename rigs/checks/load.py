"""Lay rigs out for the rules, from the database: as many queries for one rig as for many."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from uuid import UUID

from core import clock
from core.models import Show, Song
from core.one_pass import once_a_pass
from core.sets.order import sets_of_shows
from rigs.changes.edits import Snapshot
from rigs.checks.bench import Bench, BenchDevice
from rigs.checks.between_songs import ASSUMED, ChangeSeconds, Piece
from rigs.checks.build import build, number
from rigs.models import (
    ChangeTimes,
    Device,
    Rig,
    SongSetting,
)
from rigs.places import MEASURED, Measurement
from rigs.revisions.many import states_of
from rigs.revisions.sources import picked_up_whole
from rigs.signal.microphones import GRADIENT_SHARE


def benches(
    rigs: Sequence[Rig], states: Mapping[UUID, Snapshot] | None = None
) -> dict[UUID, Bench]:
    """The bench of each rig as it is today, by the rig's id.

    Six queries, two for what apps downstream measured, and three for the set of the next show
    where a song changes something; none without rigs. `states` are the rigs as they are, where they
    were read already.
    """
    if not rigs:
        return {}
    states = states or snapshots(rigs)
    productions = {rig.production_id for rig in rigs}
    devices, coming = devices_of(productions), next_shows(productions)
    air = {production: number(show.temperature_c) for production, show in coming.items()}
    # Most rigs have no song settings, and for those the set is not read at all.
    changing = {rig.production_id for rig in rigs if _has_songs(states[rig.pk])}
    songs = set_of(changing) if changing else {}
    running = _running([show for key, show in coming.items() if key in changing])
    times = times_of(changing) if changing else {}
    measured = _measured(rigs)
    elsewhere = picked_up_whole(rigs)
    return {
        rig.pk: build(
            str(rig.pk),
            states[rig.pk],
            devices,
            air.get(rig.production_id),
            songs.get(rig.production_id, ()),
            times.get(rig.production_id, ASSUMED),
            tuple(chain.from_iterable(each.get(rig.pk, ()) for each in measured)),
            heard_elsewhere=bool(elsewhere[rig.pk]),
            running=running.get(rig.production_id),
        )
        for rig in rigs
    }


@once_a_pass
def _measured(rigs: Sequence[Rig]) -> list[Mapping[UUID, Iterable[Measurement]]]:
    return list(MEASURED.call(rigs))


def _has_songs(state: Snapshot) -> bool:
    return any(fields["kind"] == SongSetting.KIND for fields in state.values())


@once_a_pass
def set_of(productions: Iterable[UUID]) -> dict[UUID, list[Piece]]:
    """The set of each production in order. One query."""
    pieces: dict[UUID, list[Piece]] = defaultdict(list)
    rows = Song.objects.filter(production__in=list(productions), retired_at=None)
    for song in rows.order_by("position", "title", "pk"):
        piece = Piece(str(song.pk), song.title, song.length_s, song.gap_s)
        pieces[song.production_id].append(piece)
    return pieces


@once_a_pass
def _running(shows: Sequence[Show]) -> dict[UUID, list[Piece]]:
    """What is played at each show in order, by its production. Three queries at most."""
    sets = sets_of_shows(shows) if shows else {}
    return {
        show.leg.production_id: [
            Piece(str(line.song.pk), line.song.title, line.seconds, line.gap_s)
            for line in sets[show.pk].played
            if line.song is not None
        ]
        for show in shows
    }


def snapshots(rigs: Sequence[Rig]) -> dict[UUID, Snapshot]:
    """Each rig as it is. Two queries."""
    states = states_of((rig, rig.head_number) for rig in rigs)
    return {rig.pk: states[rig.pk, rig.head_number] or {str(rig.pk): rig.fields()} for rig in rigs}


def devices_of(productions: Iterable[UUID]) -> dict[str, BenchDevice]:
    """Every device of the productions by its id, the retired ones too: a rig may still name one."""
    return {str(device.pk): bench_device(device) for device in _device_rows(productions)}


@once_a_pass
def _device_rows(productions: Iterable[UUID]) -> list[Device]:
    return list(Device.objects.filter(production__in=productions))


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


@once_a_pass
def next_shows(productions: Iterable[UUID]) -> dict[UUID, Show]:
    """The next show of each production that has one, with its leg. One query."""
    shows = Show.objects.filter(
        leg__production__in=productions,
        retired_at=None,
        leg__retired_at=None,
        held_on__gte=clock.now().date(),
    )
    found: dict[UUID, Show] = {}
    for show in shows.select_related("leg", "own_set").order_by("held_on", "pk"):
        # Only the next one counts, even where it states no temperature and a later one does.
        found.setdefault(show.leg.production_id, show)
    return found


@once_a_pass
def times_of(productions: Iterable[UUID]) -> dict[UUID, ChangeSeconds]:
    """The times of changes by production, of those that have stated some. One query."""
    rows = ChangeTimes.objects.filter(production__in=list(productions))
    return {row.production_id: as_times(row) for row in rows}


def as_times(row: ChangeTimes) -> ChangeSeconds:
    return ChangeSeconds(
        ASSUMED.change if row.change_s is None else row.change_s,
        ASSUMED.string if row.string_s is None else row.string_s,
    )
