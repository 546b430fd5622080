"""Keep the search up to date with rigs.

A rig's own history says what there is to put in, so recording an edit costs the search nothing:
the first search after it catches up. Devices and players have no history and are put in as they
are saved.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce
from django.db.models.signals import post_save

from core.models import Player, Production
from core.places import IndexEntry
from core.search.backend import index_all
from rigs.models import ChangeRow, Device, IndexedRig, Revision, Rig, Source
from rigs.places import RETITLED
from rigs.search import changes, gear
from rigs.search.indexed_changes import (
    is_worded,
    photos_of,
    retitles,
    tells_of_sources,
    units_of,
)

SLICE = 2000  # changes put in by one transaction: about a second
MOST_RIGS = 200  # of one transaction: SQLite takes no condition that is nested deeper than 1000


def connect() -> None:
    """Follow the records that have no history of their own. Called when the app is ready."""
    # The uid keeps a second call from connecting, and indexing, twice.
    post_save.connect(on_device, sender=Device, dispatch_uid="search device")
    post_save.connect(on_player, sender=Player, dispatch_uid="search player")


def catch_up(production: Production, until: float | None = None) -> bool:
    """Put in what rigs have had written since, so many changes at a time; whether all is in then.
    One query where there is nothing. After `until` (time.monotonic) no other slice is begun."""
    while behind(production).exists():
        with transaction.atomic():
            is_all = _catch_up(_locked(behind(production)))
        if is_all or (until is not None and time.monotonic() >= until):
            return is_all
    return True


def forget(production: Production) -> None:
    """Let all rigs be put in anew."""
    IndexedRig.objects.filter(rig__production=production).delete()


def behind(production: Production) -> QuerySet[Any]:
    """The rigs of which something was written that the search has not read."""
    rigs = Rig.objects.filter(production=production).annotate(
        known=Coalesce(F("indexed__number"), 0)
    )
    unread: QuerySet[Any] = rigs.filter(head_number__gt=F("known"))
    return unread


def _locked(rigs: QuerySet[Any]) -> list[Any]:
    """Nobody may write a rig while it is being read, or the older state could be put in last."""
    return list(rigs.order_by("pk").select_for_update(of=("self",)))


def _slice(rigs: list[Any]) -> dict[Any, int]:
    """Up to which change each of the first rigs is put in now."""
    upto: dict[Any, int] = {}
    room = SLICE
    for rig in rigs:
        if room <= 0 or len(upto) == MOST_RIGS:
            break
        upto[rig.pk] = min(rig.head_number, rig.known + room)
        room -= upto[rig.pk] - rig.known
    return upto


def _catch_up(behind: list[Any]) -> bool:
    """Whether that was all."""
    upto = _slice(behind)
    rigs = [rig for rig in behind if rig.pk in upto]
    written = _since(rigs, upto)
    # What a rig is now does not depend on its history: of a new one it is put in at once.
    new = {rig.pk for rig in rigs if not rig.known}
    _put_in_new(new)
    _put_in_changed(written.exclude(rig__in=new))
    index_all(changes.changes(written))
    _note_down(upto)
    return len(rigs) == len(behind) and all(upto[rig.pk] == rig.head_number for rig in rigs)


def _put_in_changed(written: QuerySet[Revision]) -> None:
    rows = ChangeRow.objects.filter(revision__in=written).annotate(rig=F("revision__rig"))
    worded = [row for row in rows if is_worded(row)]
    retitled = {row.rig for row in worded if retitles(row)}
    # The titles of all entries of a rig hold its name, so a new name puts all of them in again.
    if retitled:
        _put_in_new(retitled)
        index_all(changes.changes(Revision.objects.filter(rig__in=retitled)))
        RETITLED.call(retitled)
    _put_in_parts([row for row in worded if row.rig not in retitled])


def _since(rigs: Iterable[Any], upto: dict[Any, int]) -> QuerySet[Revision]:
    """What was written of `rigs` that the search has not read."""
    unread = Q(pk__in=[])
    for rig in rigs:
        unread |= Q(rig=rig.pk, number__gt=rig.known, number__lte=upto[rig.pk])
    return Revision.objects.filter(unread)


def _put_in_new(rigs: set[Any]) -> None:
    """All that is in a rig now."""
    if rigs:
        index_all(_everything_of(list(rigs)))


def _everything_of(ids: list[Any]) -> Iterator[IndexEntry]:
    yield from gear.rigs(Rig.objects.filter(pk__in=ids))
    yield from gear.units(Q(rig__in=ids))
    yield from gear.inputs(Q(rig__in=ids))
    yield from gear.photos(Q(rig__in=ids))


def _put_in_parts(rows: list[Any]) -> None:
    own = {row.rig for row in rows if row.kind == "rig"}
    units, inputs = units_of(rows), {row.part for row in rows if row.kind == "input"}
    # What an input picks up is in its entry, by names that may be of groups: all of that rig.
    hearing = {row.rig for row in rows if tells_of_sources(row)}
    if own:
        index_all(gear.rigs(Rig.objects.filter(pk__in=own)))
    if units:
        index_all(gear.units(Q(pk__in=units)))
    if inputs:
        index_all(gear.inputs(Q(pk__in=inputs) & ~Q(rig__in=hearing)))
    if hearing:
        index_all(gear.inputs(Q(rig__in=hearing)))
    if photos := photos_of(rows):
        index_all(gear.photos(Q(pk__in=photos)))


def _note_down(upto: dict[Any, int]) -> None:
    IndexedRig.objects.bulk_create(
        [IndexedRig(rig_id=rig, number=number) for rig, number in upto.items()],
        update_conflicts=True,
        unique_fields=["rig"],
        update_fields=["number"],
    )


def devices(production: Production) -> Iterator[IndexEntry]:
    return gear.devices(Device.objects.filter(production=production))


def on_device(instance: Device, **_: Any) -> None:
    index_all(gear.devices([instance]))


def on_player(
    instance: Player, created: bool, update_fields: Iterable[str] | None, **_: Any
) -> None:
    """A rig is found by its player's name, too, and so is what picks up all of it."""
    if not created and (update_fields is None or {"name", "instrument"} & set(update_fields)):
        known = Rig.objects.filter(player=instance, indexed__isnull=False)
        index_all(gear.rigs(known))
        hearing = Source.objects.live().filter(player=instance, rig__indexed__isnull=False)
        index_all(gear.inputs(Q(pk__in=hearing.values("input"))))
