"""Keep the search up to date with rigs, inside the transaction that changes them.

Only what changes words costs anything: turning a dial or moving a fader leaves the index alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q
from django.db.models.signals import post_save

from core.models import Player, Production
from core.search import sources
from core.search.backend import Entry, index_all
from rigs.models import Control, Device, Revision, Rig
from rigs.revisions.edits import WHOLE, Change
from rigs.revisions.reasons import ReasonKind
from rigs.revisions.record import recorded
from rigs.search import changes as found_changes
from rigs.search import gear

# What of each kind of part is in the index. A rig's name and whether it is retired are in the
# title of everything that belongs to it.
TITLES = frozenset({"name", "retired"})
TEXT: dict[str, frozenset[str]] = {
    "rig": TITLES | {"variant", "sound", "notes"},
    "unit": frozenset({"name", "gear", "maker", "model", "serial", "tuning", "notes"}),
    "control": frozenset({"unit", "name"}),
    "input": frozenset({
        "number", "name", "device", "aimed_at", "reference_point", "stand", "stage_position",
        "notes",
    }),
}  # fmt: skip


def connect() -> None:
    """Called once, when the app is ready."""
    sources.register(everything)
    recorded.connect(on_recorded, dispatch_uid="search")
    post_save.connect(on_device, sender=Device, dispatch_uid="search device")
    post_save.connect(on_player, sender=Player, dispatch_uid="search player")


def everything(production: Production) -> Iterator[Entry]:
    """All that can be found of rigs; queries do not grow with the number of rigs."""
    yield from gear.rigs(Rig.objects.filter(production=production))
    yield from _of_rigs(Q(rig__production=production))
    yield from gear.devices(Device.objects.filter(production=production))
    yield from found_changes.changes(Revision.objects.filter(rig__production=production))


def _of_rigs(where: Q) -> Iterator[Entry]:
    yield from gear.units(where)
    yield from gear.inputs(where)


def on_recorded(revision: Revision, changes: Iterable[Change], **_: Any) -> None:
    worded = [change for change in changes if is_worded(change)]
    own = Rig.objects.filter(pk=revision.rig_id)
    if any(change.kind == "rig" for change in worded):
        index_all(gear.rigs(own))
    if any(change.kind == "rig" and _retitles(change) for change in worded):
        index_all(_of_rigs(Q(rig=revision.rig_id)))
        index_all(found_changes.changes(Revision.objects.filter(rig=revision.rig_id)))
        return
    units = _units_of(worded)
    if units:
        index_all(gear.units(Q(pk__in=units)))
    inputs = {change.part for change in worded if change.kind == "input"}
    if inputs:
        index_all(gear.inputs(Q(pk__in=inputs)))
    if revision.reason_kind != ReasonKind.NONE:
        index_all(found_changes.changes(Revision.objects.filter(pk=revision.pk)))


def is_worded(change: Change) -> bool:
    """Whether anything that is in the index changed."""
    if change.kind not in TEXT:
        return False
    if change.kind == "control" and change.field == "setting":
        return any(gear.LETTERS.search(str(value or "")) for value in (change.old, change.new))
    return change.field == WHOLE or change.field in TEXT[change.kind]


def _retitles(change: Change) -> bool:
    return change.field in TITLES


def _units_of(changes: Iterable[Change]) -> set[str]:
    units, controls = set(), set()
    for change in changes:
        if change.kind == "unit":
            units.add(change.part)
        elif change.kind == "control":
            controls.add(change.part)
            if change.field == "unit" and change.old:
                units.add(str(change.old))
    if controls:
        owners = Control.objects.filter(pk__in=controls).values_list("unit_id", flat=True)
        units.update(str(owner) for owner in owners)
    return units


def on_device(instance: Device, **_: Any) -> None:
    index_all(gear.devices([instance]))


def on_player(
    instance: Player, created: bool, update_fields: Iterable[str] | None, **_: Any
) -> None:
    """A rig is found by its player's name, too."""
    if not created and (update_fields is None or {"name", "instrument"} & set(update_fields)):
        index_all(gear.rigs(Rig.objects.filter(player=instance)))
