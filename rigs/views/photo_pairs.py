"""Two photos of the same thing, the earlier beside the later."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.models import Photo
from rigs.photos.pairs import others_of, pair, taken
from rigs.views.pages import find_part


@require_safe
@production_view(Action.READ)
def beside(request: ProductionRequest, rig: UUID, photo: UUID) -> HttpResponse:
    """The photo and another of the same subject, ?with= one of them or else the nearest in time."""
    found = find_part(request, Photo, rig, photo)
    others = others_of(found)
    wanted = request.GET.get("with", "")
    other = next((each for each in others if str(each.pk) == wanted), None)
    other = other or (others[0] if others else None)
    context = {
        "rig": found.rig,
        "photo": found,
        "others": taken(others),
        "other": other,
        "pair": taken(pair(found, other)) if other else [],
        "active_nav": "rigs",
    }
    return render(request, "rigs/photos_beside.html", context)
