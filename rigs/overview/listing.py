"""The rigs of a production for its list, and a rig compared with what its player signed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import (
    Case,
    Count,
    F,
    IntegerField,
    OuterRef,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from core.composed import Composed, Several, column
from core.models import Production
from rigs.changes.edits import Snapshot
from rigs.editing.ordering import place_of
from rigs.models import Input, Part, Photo, Rig, Unit
from rigs.places import LAST_SIGNED, SignedState
from rigs.revisions.many import newest, states_of
from rigs.wording import RigView, snapshot_view

NAMED = 4  # units of a rig that its card names

# The main rig first: the order of the choices, which by their keys would be another.
_VARIANTS = Case(
    *(When(variant=variant, then=Value(at)) for at, variant in enumerate(Rig.Variant.values))
)


def rig_rows(production: Production) -> list[Rig]:
    """Every rig with its player, `unit_count` and `input_count`; by player, the main rig first.

    One query.
    """
    rigs = Rig.objects.filter(production=production)
    counted: QuerySet[Any] = rigs.annotate(unit_count=_count(Unit), input_count=_count(Input))
    return list(in_order(counted))


def in_order(rigs: QuerySet[Rig]) -> QuerySet[Rig]:
    """By player, the main rig first; each with its player."""
    by = ("player__position", "player__name", "player", _VARIANTS, "name")
    return rigs.select_related("player").order_by(*by)


def put_covers(rigs: Iterable[Rig]) -> None:
    """Give each rig its `cover`, the photo that stands for it, or None. One query."""
    all_rigs = list(rigs)
    found = covers(all_rigs)
    for rig in all_rigs:
        rig.cover = found.get(rig.pk)  # type: ignore[attr-defined]


def covers(rigs: Iterable[Rig]) -> dict[UUID, Photo]:
    """The photo that stands for each rig: the first of the whole of it, else of anything in it.

    One query; rigs without a photo are left out.
    """
    return {photo.rig_id: photo for photo in _first_photos([rig.pk for rig in rigs])}


def _first_of(rigs: Sequence[UUID]) -> QuerySet[Photo]:
    of_rig = Photo.objects.live().filter(rig=OuterRef("rig"))
    first = of_rig.order_by(F("about").asc(nulls_first=True), "position", "pk").values("pk")[:1]
    found: QuerySet[Photo] = Photo.objects.filter(rig__pk__among=rigs, pk=Subquery(first))
    return found


_first_photos = Composed(_first_of, Several(column(Rig)))


def put_contents(rigs: Iterable[Rig]) -> None:
    """Give each rig the names of its first units, `unit_names`, and how many more there are,
    `units_unnamed`. One query."""
    all_rigs = list(rigs)
    units: dict[UUID, list[Unit]] = defaultdict(list)
    rows = Unit.objects.live().filter(rig__in=[rig.pk for rig in all_rigs])
    for unit in rows.only("rig", "name", "position"):
        units[unit.rig_id].append(unit)
    for rig in all_rigs:
        names = [str(unit) for unit in sorted(units[rig.pk], key=place_of)]
        rig.unit_names = names[:NAMED]  # type: ignore[attr-defined]
        rig.units_unnamed = len(names[NAMED:])  # type: ignore[attr-defined]


def _count(model: type[Part]) -> Coalesce:
    # A subquery for each count: two joins in one query would multiply each other's rows.
    live = model.objects.live().filter(rig=OuterRef("pk")).order_by().values("rig")
    return Coalesce(
        Subquery(live.annotate(n=Count("pk")).values("n")), 0, output_field=IntegerField()
    )


class LiveAndSigned(NamedTuple):
    """The rig as it is, and what was signed; None where nothing was, or nothing came after."""

    view: RigView
    signed: SignedState | None


def live_view(rig: Rig) -> LiveAndSigned:
    """The rig as it is. One query more than without: the signature; both states are read
    together."""
    signed = LAST_SIGNED.first(rig)
    states_of((rig, number) for number in {rig.head_number, signed.number if signed else 0})
    return _beside(rig, newest(rig), signed)


def beside(rig: Rig, state: Snapshot) -> LiveAndSigned:
    """`state`, the newest of `rig`, with its controls held against what was signed."""
    return _beside(rig, state, LAST_SIGNED.first(rig))


def _beside(rig: Rig, state: Snapshot, signed: SignedState | None) -> LiveAndSigned:
    # Nothing was changed since, so the older state need not be read.
    if signed is None or signed.number >= rig.head_number:
        return LiveAndSigned(snapshot_view(rig, state), None)
    before = states_of([(rig, signed.number)])[rig.pk, signed.number]
    return LiveAndSigned(snapshot_view(rig, state, before=before, since_signed=True), signed)
