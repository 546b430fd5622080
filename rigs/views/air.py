"""The air of a leg: each show against the rehearsal room."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from core.panels import Panel
from rigs.services.air import compare, rehearsal_room
from rigs.whatif.air import LEFT_OUT


@require_safe
@production_view(Action.READ)
def leg_air(request: ProductionRequest, leg: UUID) -> HttpResponse:
    found = get_object_or_404(request.production.legs, pk=leg)
    context = {"leg": found, "active_nav": "tour", **_compared(found)}
    return render(request, "rigs/leg_air.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: what each room does to the top end."""
    found = _compared(leg)
    return {
        show.pk: Panel("rigs/_air_in_card.html", {"air": air, "reference": found["reference"]})
        for show, air in found["compared"]
    }


def _compared(leg: Leg) -> dict[str, Any]:
    reference = rehearsal_room(leg.production)
    shows = [show for show in leg.shows.all() if not show.is_retired]
    return {
        "reference": reference,
        "compared": compare(shows, reference),
        "left_out": LEFT_OUT,
    }
