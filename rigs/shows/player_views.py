"""Who plays at a show: the page of all players, and the form of a dep."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from rigs.shows.forms import DepForm
from rigs.shows.players import who_plays
from rigs.shows.views import find_show


@require_safe
@production_view(Action.READ)
def players(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    context = {"show": show, "who": who_plays(show), "active_nav": "tour"}
    return render(request, "rigs/shows/players.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.CHOOSE_DEP)
def dep(request: ProductionRequest, show_id: UUID, player_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    who = who_plays(show)
    player = next((each for each in who.players if each.player.pk == player_id), None)
    if player is None:
        raise Http404(_("No such player."))
    back = within(request, "rigs:show_players", show.pk)
    form = DepForm(posted(request), show=show, player=player)
    if form.is_bound and form.try_save(request.user):
        now = who_plays(show).name_of(player.player)
        messages.success(request, _("Plays at {show}: {now}.").format(show=show, now=now))
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("Who plays for {player}").format(player=player.player),
        cancel_url=back,
        active_nav="tour",
        template="rigs/shows/dep.html",
        show=show,
        player=player,
        later=_("Who plays for {player}, {show}").format(player=player.player, show=show),
    )
