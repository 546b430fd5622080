"""The rigs of a production, as its list shows them.

A rig beside what its player signed: controls that moved since show where they stood.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from django.db.models import (
    Case,
    Count,
    IntegerField,
    OuterRef,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from core.models import Production
from rigs.changes.edits import Snapshot
from rigs.models import Input, Part, Rig, Unit
from rigs.places import LAST_SIGNED, SignedState
from rigs.revisions.read import as_of, live
from rigs.wording import RigView, snapshot_view

# The order in which a crew speaks of them.
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


def _count(model: type[Part]) -> Coalesce:
    live = model.objects.live().filter(rig=OuterRef("pk")).order_by().values("rig")
    return Coalesce(
        Subquery(live.annotate(n=Count("pk")).values("n")), 0, output_field=IntegerField()
    )


class LiveAndSigned(NamedTuple):
    """The rig as it is, and what was signed; None where nothing was, or nothing came after."""

    view: RigView
    signed: SignedState | None


def live_view(rig: Rig) -> LiveAndSigned:
    """The rig as it is. Three queries more than without: the signature, and the state then."""
    return beside(rig, live(rig))


def beside(rig: Rig, state: Snapshot) -> LiveAndSigned:
    """`state`, the newest of `rig`, with its controls held against what was signed."""
    signed = LAST_SIGNED.first(rig)
    if signed is None or signed.number >= rig.head_number:
        return LiveAndSigned(snapshot_view(rig, state), None)
    before = as_of(rig, signed.number)
    return LiveAndSigned(snapshot_view(rig, state, before=before, since_signed=True), signed)
