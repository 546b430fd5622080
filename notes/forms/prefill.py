"""What a new note starts with: the session of the day, who speaks, what it is about."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone

from core import clock
from core.access.views import ProductionRequest
from notes.models import ListeningSession
from rigs.models import Rig


def prefill(request: ProductionRequest, rig: Rig) -> dict[str, Any]:
    """Initial values from the address (`?session=`, `?input=`, `?unit=`) and from who writes."""
    start: dict[str, Any] = {}
    session = _asked(request, "session") or _session_of_today(request)
    if session:
        start["session"] = session
    for name in ("input", "unit"):
        if part := _asked(request, name):
            start[f"{name}s"] = [part]
    start["said_by_player"] = speaker(request, rig)
    return start


def speaker(request: ProductionRequest, rig: Rig) -> UUID | None:
    """A musician who writes a note speaks for themself; two of them share no account."""
    players = request.member.player_ids
    return rig.player_id if rig.player_id in players else next(iter(sorted(players)), None)


def _asked(request: ProductionRequest, name: str) -> UUID | None:
    try:
        return UUID(request.GET.get(name, ""))
    except ValueError:
        return None


def _session_of_today(request: ProductionRequest) -> UUID | None:
    today = ListeningSession.objects.filter(
        production=request.production, held_on=timezone.localdate(clock.now())
    )
    return today.order_by("-pk").values_list("pk", flat=True).first()
