"""The rigs of a production, as its list shows them."""

from __future__ import annotations

from typing import Any

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
from rigs.models import Input, Part, Rig, Unit

# The order in which a crew speaks of them.
_VARIANTS = Case(
    *(When(variant=variant, then=Value(at)) for at, variant in enumerate(Rig.Variant.values))
)


def rig_rows(production: Production) -> list[Rig]:
    """Every rig with its player, `unit_count` and `input_count`; by player, the main rig first.

    One query.
    """
    rigs = Rig.objects.filter(production=production).select_related("player")
    counted: QuerySet[Any] = rigs.annotate(unit_count=_count(Unit), input_count=_count(Input))
    by = ("player__position", "player__name", "player", _VARIANTS, "name")
    return list(counted.order_by(*by))


def _count(model: type[Part]) -> Coalesce:
    live = model.objects.live().filter(rig=OuterRef("pk")).order_by().values("rig")
    return Coalesce(
        Subquery(live.annotate(n=Count("pk")).values("n")), 0, output_field=IntegerField()
    )
