"""The change log of a production: every rig's changes in one list, and what narrows it."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from core.models import Player, Production, User
from rigs.fields import reasons_needed_by
from rigs.models import ChangeRow, Device, Input, Revision, Rig
from rigs.revisions.edits import WHOLE
from rigs.revisions.reasons import ReasonKind


def revisions_of(
    production: Production,
    *,
    rig: Rig | None = None,
    player: Player | None = None,
    input: Input | None = None,
    device: Device | None = None,
    author: User | None = None,
    reason: str = "",
    since: date | None = None,
    until: date | None = None,
    everything: bool = False,
) -> QuerySet[Revision]:
    """Changes of all rigs; without `everything`, those of inputs and those with a reason.

    Both dates count as whole days in the time zone of the settings.
    """
    found = Revision.objects.filter(rig__production=production)
    equal = {"rig": rig, "rig__player": player, "author": author, "reason_kind": reason or None}
    found = found.filter(**{name: value for name, value in equal.items() if value is not None})
    if since:
        found = found.filter(at__gte=_start(since))
    if until:
        found = found.filter(at__lt=_start(until + timedelta(days=1)))
    if input:
        found = found.filter(Exists(_rows(part=input.pk)))
    if device:
        found = found.filter(Exists(_rows(kind="input").filter(_names(device))))
    return found if everything else found.filter(_matters())


def _matters() -> Q:
    moved = _rows(kind="input", field__in=[WHOLE, *reasons_needed_by("input")])
    return ~Q(reason_kind=ReasonKind.NONE) | Q(Exists(moved))


def _rows(**more: Any) -> QuerySet[ChangeRow]:
    return ChangeRow.objects.filter(revision=OuterRef("pk"), **more)


def _names(device: Device) -> Q:
    """Before or after the change, as the value of the field or within a whole input. An id is
    unique, so finding it in the stored text is finding the device."""
    in_field = Q(field="device") & (Q(old_json=f'"{device.pk}"') | Q(new_json=f'"{device.pk}"'))
    within = f'"device":"{device.pk}"'
    return in_field | Q(field=WHOLE) & (Q(old_json__contains=within) | Q(new_json__contains=within))


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
