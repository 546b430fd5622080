"""Add several units with their usual controls, as one change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from uuid import uuid4

from django.db import transaction

from rigs.lists.several import Draft
from rigs.models import Rig, Unit
from rigs.revisions.edits import Add
from rigs.revisions.record import record
from rigs.services.ordering import next_position

if TYPE_CHECKING:
    from core.models import User


@transaction.atomic
def add_units(*, rig: Rig, drafts: Sequence[Draft], author: User) -> list[str]:
    """The ids of the new units, in order. Raises ValidationError for values that cannot be."""
    rig = Rig.objects.select_for_update().get(pk=rig.pk)
    first = next_position(Unit(rig=rig))
    edits: list[Add] = []
    made = []
    for position, draft in enumerate(drafts, start=first):
        made.append(str(uuid4()))
        edits += _edits(made[-1], position, draft)
    record(rig, edits, author=author, base=rig.head_number)
    return made


def _edits(unit: str, position: int, draft: Draft) -> list[Add]:
    edits = [
        Add(
            unit,
            "unit",
            {
                "name": draft.name,
                "gear": draft.gear.key,
                "maker": draft.maker,
                "model": draft.model,
                "position": position,
            },
        )
    ]
    for at, usual in enumerate(draft.gear.usual, start=1):
        edits.append(
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": unit,
                    "name": usual.name,
                    "style": draft.style_of(usual).value,
                    "position": at,
                    "choices": usual.choices,
                    "symbol": usual.symbol,
                    "setting": draft.settings.get(usual.name, ""),
                },
            )
        )
    return edits
