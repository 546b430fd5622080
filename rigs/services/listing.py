"""The rigs of a production, as its list shows them."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from core.models import Production
from rigs.models import Input, Part, Rig, Unit


def rig_rows(production: Production) -> list[Rig]:
    """Every rig with its player, `unit_count` and `input_count`, by player. One query."""
    rigs = Rig.objects.filter(production=production).select_related("player")
    counted: QuerySet[Any] = rigs.annotate(unit_count=_count(Unit), input_count=_count(Input))
    return list(counted.order_by("player__position", "player__name", "player", "variant", "name"))


def _count(model: type[Part]) -> Coalesce:
    live = model.objects.live().filter(rig=OuterRef("pk")).order_by().values("rig")
    return Coalesce(
        Subquery(live.annotate(n=Count("pk")).values("n")), 0, output_field=IntegerField()
    )
