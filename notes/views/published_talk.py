"""What readers of a published handover do on its page: say that they have read it, and ask."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Player
from notes.forms.handover import AboutForm
from notes.handover import services
from notes.models import PublishedHandover
from notes.views.handover_talk import ASKED, about, asking
from notes.views.published import find_published, show
from notes.views.talk import Refused


@require_POST
@production_view(Action.ACKNOWLEDGE)
def acknowledge(request: ProductionRequest, published: UUID) -> HttpResponse:
    found = find_published(request, published)
    form = AboutForm(request.POST, production=request.production)
    if not form.is_valid():
        raise BadRequest("This production has no such player.")
    player = form.cleaned_data["player"]
    services.acknowledge(leg=found.handover.leg, user=request.user, player=player, published=found)
    messages.success(request, f"Marked as read in {found}: {player or 'the general part'}.")
    return _back(request, found, player)


@require_POST
@production_view(Action.ACKNOWLEDGE)
def ask(request: ProductionRequest, published: UUID) -> HttpResponse:
    found = find_published(request, published)
    form = asking(request)
    if not form.is_valid():
        return show(request, found, Refused(form, about(form)))
    services.ask(leg=found.handover.leg, user=request.user, **form.cleaned_data)
    messages.success(request, ASKED)
    return _back(request, found, form.cleaned_data["player"])


def _back(
    request: ProductionRequest, found: PublishedHandover, player: Player | None
) -> HttpResponse:
    """To the section, read in the same way as before."""
    asked = f"?{request.GET.urlencode()}" if request.GET else ""
    place = f"player-{player.pk}" if player else "general"
    return redirect(f"{found.get_absolute_url()}{asked}#{place}")
