"""The layers of shows as they are on record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from core.composed import Composed, Several, column
from core.models import Show
from rigs.changes.edits import Fields
from rigs.models import ControlAtShow, Rig, UnitAtShow
from rigs.models.parts import plain_value
from rigs.tonight.layers import Layer

Lasts = UnitAtShow.Lasts
OF_UNIT = (
    "gear",
    "maker",
    "model",
    "serial",
    "tuning",
    "stage_position",
    "session",
    "midi_channel",
)
SCALE = ("name", "style", "low", "high", "choices", "symbol", "setting")


def rows_at(show: Show, rigs: Iterable[Rig] | None = None) -> list[UnitAtShow]:
    """What holds at `show`, the lowest layer first: those of its leg by date, then its own.

    Two queries, however many; one where there are none. Retired rigs and units are left out.
    """
    at = (show.leg_id, show.pk, show.held_on)
    rows = _at(*at) if rigs is None else _at_of(*at, [rig.pk for rig in rigs])
    return sorted(rows, key=lambda row: (row.lasts == Lasts.SHOW, row.show.held_on, row.at, row.pk))


def _holding_at(leg: Any, show: Any, day: Any) -> QuerySet[UnitAtShow]:
    return (
        _holding()
        .filter(show__leg=leg)
        .filter(Q(show=show) | Q(lasts=Lasts.LEG, show__held_on__lte=day))
        .select_related("show__leg", "unit__rig__player", "photo", "permanent")
        .prefetch_related("controls")
    )


_AT = (column(Show, "leg"), column(UnitAtShow, "show"), column(Show, "held_on"))
_at = Composed(_holding_at, *_AT)
_at_of = Composed(
    lambda leg, show, day, rigs: _holding_at(leg, show, day).filter(unit__rig__pk__among=rigs),
    *_AT,
    Several(column(Rig)),
)


def rows_at_shows(leg: UUID) -> list[UnitAtShow]:
    """Everything that holds at some show of a leg, to be counted: without controls. One query."""
    return list(_holding().filter(show__leg=leg).select_related("show"))


def _holding() -> QuerySet[UnitAtShow]:
    return UnitAtShow.objects.filter(
        withdrawn_at=None, unit__retired=False, unit__rig__retired=False
    )


def by_rig(rows: Iterable[UnitAtShow]) -> dict[UUID, list[Layer]]:
    """The layers of each rig, in the order of `rows`."""
    layers: dict[UUID, list[Layer]] = defaultdict(list)
    for row in rows:
        layers[row.unit.rig_id].append(layer_of(row))
    return dict(layers)


def layer_of(row: UnitAtShow) -> Layer:
    controls = list(row.controls.all())
    return Layer(
        id=str(row.pk),
        unit=str(row.unit_id),
        what=row.what,
        fields={name: getattr(row, name) for name in OF_UNIT},
        settings={str(c.about): c.setting for c in controls if c.about is not None},
        controls={str(c.pk): control_fields(c) for c in controls if c.about is None},
        strings=row.strings,
        radio=row.radio,
        pack=row.pack,
        messages=row.messages,
        image=str(row.photo_id) if row.photo_id else "",
    )


def control_fields(control: ControlAtShow) -> Fields:
    """As the fields of a control of a rig: what is at its default is left out."""
    values = {name: plain_value(getattr(control, name)) for name in SCALE}
    values["position"] = control.position
    plain = ControlAtShow(name="")
    return {n: v for n, v in values.items() if v != plain_value(getattr(plain, n))}


def tried(production: UUID) -> QuerySet[UnitAtShow]:
    """What came in place of a unit at any show, newest first, withdrawn or not."""
    rows = UnitAtShow.objects.filter(
        what=UnitAtShow.What.REPLACED, show__leg__production=production
    )
    along = ("show__leg", "unit__rig__player", "permanent")
    return rows.select_related(*along).order_by("-show__held_on", "-at", "pk")
