"""The catalogue of microphones and DIs, and what may still change in an entry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q

from rigs.models import ChangeRow, Device, Input, ShowInput

FIXED = (
    "A rig’s history mentions this device, so its name, maker and principle stay. "
    "Another microphone is another entry."
)


def is_mentioned(device: Device) -> bool:
    """Whether a rig's history speaks of `device`, today or in the past."""
    if device._state.adding:
        return False
    if Input.objects.filter(device=device).exists():
        return True
    if ShowInput.objects.filter(device=device).exists():
        return True
    pk = str(device.pk)
    told = Q(old_json__contains=pk) | Q(new_json__contains=pk)
    history = ChangeRow.objects.filter(revision__rig__production=device.production_id, kind="input")
    return history.filter(told).exists()


def check_identity(device: Device, values: Mapping[str, Any]) -> None:
    """Raise ValidationError, keyed by field, for a change of what the history relies on.

    `device` is as it is on file, `values` what it is to become.
    """
    moved = [n for n in Device.IDENTITY if n in values and values[n] != getattr(device, n)]
    if moved and is_mentioned(device):
        raise ValidationError(dict.fromkeys(moved, FIXED))
