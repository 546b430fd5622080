"""Keep the search up to date with rigs.

A rig's own history says what there is to put in, so recording an edit costs the search nothing:
the first search after it catches up. Devices and players have no history and are put in as they
are saved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce
from django.db.models.signals import post_save

from core.models import Player, Production
from core.places import IndexEntry
from core.search.backend import index_all
from rigs.models import ChangeRow, Device, IndexedRig, Revision, Rig
from rigs.places import RETITLED
from rigs.search import changes, gear
from rigs.search.indexed_changes import is_worded, photos_of, retitles, units_of


def connect() -> None:
    """Follow the records that have no history of their own. Called when the app is ready."""
    # The uid keeps a second call from connecting, and indexing, twice.
    post_save.connect(on_device, sender=Device, dispatch_uid="search device")
    post_save.connect(on_player, sender=Player, dispatch_uid="search player")


def catch_up(production: Production) -> None:
    """Put in what rigs have had written since. One query where there is nothing."""
    if behind(production).exists():
        with transaction.atomic():
            _catch_up(_locked(behind(production)))


def rebuild(production: Production) -> int:
    """Put all rigs in, whatever the search knew of them."""
    rigs = _locked(Rig.objects.filter(production=production))
    count = _put_in_whole([rig.pk for rig in rigs])
    _note_down(rigs)
    return count


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


def _catch_up(rigs: list[Any]) -> None:
    new = [rig.pk for rig in rigs if not rig.known]
    written = _since([rig for rig in rigs if rig.known])
    rows = ChangeRow.objects.filter(revision__in=written).annotate(rig=F("revision__rig"))
    worded = [row for row in rows if is_worded(row)]
    retitled = {row.rig for row in worded if retitles(row)}
    # The titles of all entries of a rig hold its name, so a new name puts all of them in again.
    whole = {*new, *retitled}
    _put_in_whole(whole)
    if retitled:
        RETITLED.call(retitled)
    _put_in_parts([row for row in worded if row.rig not in whole])
    index_all(changes.changes(written.exclude(rig__in=whole)))
    _note_down(rigs)


def _since(rigs: Iterable[Any]) -> QuerySet[Revision]:
    """What was written of `rigs` that the search has not read."""
    unread = Q(pk__in=[])
    for rig in rigs:
        unread |= Q(rig=rig.pk, number__gt=rig.known)
    return Revision.objects.filter(unread)


def _put_in_whole(rigs: Iterable[Any]) -> int:
    ids = list(rigs)
    if not ids:
        return 0
    return index_all(_everything_of(ids))


def _everything_of(ids: list[Any]) -> Iterator[IndexEntry]:
    yield from gear.rigs(Rig.objects.filter(pk__in=ids))
    yield from gear.units(Q(rig__in=ids))
    yield from gear.inputs(Q(rig__in=ids))
    yield from gear.photos(Q(rig__in=ids))
    yield from changes.changes(Revision.objects.filter(rig__in=ids))


def _put_in_parts(rows: list[Any]) -> None:
    own = {row.rig for row in rows if row.kind == "rig"}
    units, inputs = units_of(rows), {row.part for row in rows if row.kind == "input"}
    if own:
        index_all(gear.rigs(Rig.objects.filter(pk__in=own)))
    if units:
        index_all(gear.units(Q(pk__in=units)))
    if inputs:
        index_all(gear.inputs(Q(pk__in=inputs)))
    if photos := photos_of(rows):
        index_all(gear.photos(Q(pk__in=photos)))


def _note_down(rigs: Iterable[Rig]) -> None:
    IndexedRig.objects.bulk_create(
        [IndexedRig(rig=rig, number=rig.head_number) for rig in rigs],
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
    """A rig is found by its player's name, too."""
    if not created and (update_fields is None or {"name", "instrument"} & set(update_fields)):
        known = Rig.objects.filter(player=instance, indexed__isnull=False)
        index_all(gear.rigs(known))
