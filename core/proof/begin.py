"""Put records into the log that were written before there was one, a slice at a time.

Each slice is a transaction that also says how far it came, so that it can be stopped and goes on.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import dropwhile
from typing import Any
from uuid import UUID

from django.db import models, transaction

from core.models import LogBegun, LogEntry, Production
from core.owner import Model
from core.proof import entries
from core.proof.shape import Shape, read, shapes

SLICE = 500


def is_begun(production: UUID) -> bool:
    """Whether every record of `production` is in the log."""
    begun = LogBegun.objects.filter(production=production).first()
    return begun.done if begun else LogEntry.objects.filter(production=production).exists()


def begin(production: Production, told: Callable[[str], object] = lambda _: None) -> int:
    """Put in what is not in yet; how many records that were. `told` hears of each table."""
    if is_begun(production.pk):
        return 0
    at, _ = LogBegun.objects.get_or_create(production=production)
    tables = sorted(shapes().items(), key=lambda item: item[1].table)
    count = 0
    for model, shape in dropwhile(lambda item: item[1].table < at.table, tables):
        told(shape.table)
        count += _table(model, shape, at)
    at.done = True
    at.save(update_fields=["done"])
    return count


def _table(model: Model, shape: Shape, at: LogBegun) -> int:
    if at.table != shape.table:
        at.table, at.after = shape.table, ""
    own = LogEntry.objects.filter(production=at.production_id, table=shape.table)
    there = set(own.values_list("key", flat=True))
    count = 0
    while keys := _next(model, shape, at):
        with transaction.atomic():
            _hold(model, keys)
            rows = models.QuerySet[Any](model=model).filter(pk__in=keys).order_by("pk")
            # Whatever was written since there is a log is in it already.
            new = [row for row in read(model, rows) if row.key not in there]
            entries.put_down(model, new)
            at.after = str(keys[-1])
            at.save(update_fields=["table", "after"])
        count += len(new)
    return count


def _next(model: Model, shape: Shape, at: LogBegun) -> list[Any]:
    rows = models.QuerySet[Any](model=model).filter(**{shape.production: at.production_id})
    if at.after:
        rows = rows.filter(pk__gt=at.after)
    return list(rows.order_by("pk").values_list("pk", flat=True)[:SLICE])


def _hold(model: Model, keys: list[Any]) -> None:
    """Keep them as they are until the slice is in: or an older state could come in last."""
    rows = models.QuerySet[Any](model=model).filter(pk__in=keys).order_by("pk")
    list(rows.select_for_update(of=("self",)).only("pk"))
