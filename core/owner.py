"""Which production a record belongs to: the shortest way over columns that are never empty."""

from __future__ import annotations

from collections import deque
from functools import cache
from typing import Any
from uuid import UUID

from django.db import models

from core.models import Production, User

Model = type[models.Model]


def pointers(model: Model) -> list[tuple[models.Field[Any, Any], Model]]:
    """The columns that point at another record, with what they point at."""
    return [
        (field, field.related_model)
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey)
        and isinstance(field.related_model, type)
        and issubclass(field.related_model, models.Model)
    ]


@cache
def path_to_production(model: Model) -> str:
    """The shortest way from a row to its production, as a lookup: “rig__production”.

    Only over columns that are never empty: a row without a device is of the production, too.
    """
    if model is Production:
        return "pk"
    queue: deque[tuple[Model, str]] = deque([(model, "")])
    seen = {model}
    while queue:
        at, path = queue.popleft()
        for field, target in pointers(at):
            # A row without it would be left out of the production without a word.
            if field.null:
                continue
            if target is Production:
                return f"{path}{field.name}"
            if target is not User and target not in seen:
                seen.add(target)
                queue.append((target, f"{path}{field.name}__"))
    raise LookupError(f"{model._meta.label} does not lead to a production; leave it out by name")


def production_of(record: models.Model) -> UUID:
    """The id of the production of `record`, which need not be saved yet.

    One query at most: what the record has loaded already is not read again.
    """
    path = path_to_production(type(record)).split("__")
    while len(path) > 1:
        field: Any = record._meta.get_field(path[0])
        if not field.is_cached(record):
            target = field.related_model._default_manager.filter(pk=getattr(record, field.attname))
            owner: UUID = target.values_list("__".join(path[1:]), flat=True).get()
            return owner
        record, path = getattr(record, path[0]), path[1:]
    last: Any = record._meta.get_field(path[0])
    return getattr(record, last.attname)  # type: ignore[no-any-return]
