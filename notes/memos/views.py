"""The sound of a voice memo, in one coding or another."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from notes.memos.serve import instead_response, sound_response
from notes.models import NoteMemo


@require_safe
@production_view(Action.READ)
def sound(request: ProductionRequest, note_memo_id: UUID) -> HttpResponseBase:
    """The small copy of a memo, or the range of it that the player asks for."""
    return sound_response(request, _memo(request, note_memo_id))


@require_safe
@production_view(Action.READ)
def instead(request: ProductionRequest, note_memo_id: UUID) -> HttpResponseBase:
    """The same, for browsers that cannot decode the small copy."""
    return instead_response(request, _memo(request, note_memo_id))


def _memo(request: ProductionRequest, note_memo_id: UUID) -> NoteMemo:
    memos = NoteMemo.objects.select_related("sound")
    return get_object_or_404(memos, pk=note_memo_id, note__production=request.production)
