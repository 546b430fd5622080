"""Copies of our tables for the benches: without a history, with one by row, and by aggregate."""

from __future__ import annotations

from typing import Any

from django.db import models
from simple_history.models import HistoricalRecords

from rigs.models import Control, Input, Unit


def _twin(source: type[models.Model], prefix: str, **more: Any) -> type[models.Model]:
    """A model with the columns of `source`; pointers but the one to the rig become plain ids."""
    members: dict[str, Any] = {"__module__": __name__}
    for field in source._meta.concrete_fields:
        if field.name == "rig":
            rig = f"bench.{prefix}Rig"
            members["rig"] = models.ForeignKey(rig, models.CASCADE, related_name="%(class)s_set")
        elif isinstance(field, models.ForeignKey):
            # Without the other tables of ours: an edit is compared, and not what it points at.
            members[field.name] = models.UUIDField(null=True)
        else:
            members[field.name] = field.clone()
    members["Meta"] = type("Meta", (), {"app_label": "bench"})
    return type(f"{prefix}{source.__name__}", (models.Model,), {**members, **more})


class PlainRig(models.Model):
    name = models.CharField(max_length=120)


class RowRig(models.Model):
    name = models.CharField(max_length=120)
    history = HistoricalRecords(user_db_constraint=False)


class WholeRig(models.Model):
    name = models.CharField(max_length=120)


PLAIN = [_twin(source, "Plain") for source in (Unit, Control, Input)]
ROW = [
    _twin(source, "Row", history=HistoricalRecords(user_db_constraint=False))
    for source in (Unit, Control, Input)
]
WHOLE = [_twin(source, "Whole") for source in (Unit, Control, Input)]
