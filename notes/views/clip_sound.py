"""The sound of a clip: what a player reads, in parts if it likes."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from notes.clips.copies import copy_response
from notes.models import Clip


@require_safe
@production_view(Action.READ)
def sound(request: ProductionRequest, clip: UUID, copy: str) -> HttpResponseBase:
    """`copy`: original, working or preview. Retired clips are heard, too: notes point at them."""
    found = get_object_or_404(
        Clip.objects.select_related("sound"), pk=clip, production=request.production
    )
    return copy_response(request, found, copy)
