"""The musicians of a production, in the order of the stage."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.lines import SeveralPlayersForm
from core.forms.tour import PlayerForm
from core.models import Player
from core.services.ordering import move, next_position
from core.views.another import after_saving
from core.views.pages import (
    direction,
    form_page,
    posted,
    posted_id,
    retire_or_restore,
    several_page,
)


@require_safe
@production_view(Action.READ)
def players(request: ProductionRequest) -> HttpResponse:
    everybody = list(request.production.players.all())
    context = {
        "players": [p for p in everybody if not p.is_retired],
        "retired": [p for p in everybody if p.is_retired],
        "active_nav": "people",
    }
    return render(request, "core/players.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest) -> HttpResponse:
    place = next_position(request.production.players.all())
    player = Player(production=request.production, position=place)
    return _edit(request, player, _("Add a player"), offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def several(request: ProductionRequest) -> HttpResponse:
    return several_page(
        request,
        SeveralPlayersForm(request.production, posted(request)),
        heading=_("Add players"),
        back=within(request, "core:players"),
        active_nav="people",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, player_id: UUID) -> HttpResponse:
    player = _player(request, player_id)
    retire_url = within(request, "core:player_retire", player.pk)
    may_forget = allowed(request.member.roles, Action.INVITE)
    return _edit(
        request,
        player,
        _("About this player"),
        retire_url=retire_url,
        item=player,
        forget_url=within(request, "notes:forget_player", player.pk) if may_forget else "",
    )


def _edit(request: ProductionRequest, player: Player, heading: str, **more: object) -> HttpResponse:
    form = PlayerForm(posted(request), instance=player)
    if form.try_save():
        messages.success(request, _("{player} is saved.").format(player=player))
        return redirect(after_saving(request, form, within(request, "core:players")))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=within(request, "core:players"),
        active_nav="people",
        **more,
    )


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, player_id: UUID) -> HttpResponse:
    return retire_or_restore(request, _player(request, player_id), within(request, "core:players"))


@require_POST
@production_view(Action.EDIT_TOUR)
def order(request: ProductionRequest) -> HttpResponse:
    live = request.production.players.filter(retired_at=None)
    player = get_object_or_404(live, pk=posted_id(request, "player"))
    move(among=live, item=player, direction=direction(request))
    return redirect(within(request, "core:players"))


def _player(request: ProductionRequest, player_id: UUID) -> Player:
    return get_object_or_404(request.production.players, pk=player_id)
