"""The shows of a leg."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.tour import ShowForm
from core.models import Leg, Show
from core.views.pages import form_page, posted, put_away_or_bring_back


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest, leg: UUID) -> HttpResponse:
    found: Leg = get_object_or_404(request.production.legs, pk=leg)
    show = Show(leg=found, held_on=found.starts_on)
    return _edit(request, show, "Add a show")


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, show: UUID) -> HttpResponse:
    found = _show(request, show)
    retire_url = within(request, "core:show_retire", found.pk)
    return _edit(request, found, "About this show", retire_url=retire_url, item=found)


def _edit(request: ProductionRequest, show: Show, heading: str, **more: object) -> HttpResponse:
    form = ShowForm(posted(request), instance=show, scale=request.user.temperature_scale)
    back = show.leg.get_absolute_url()
    if form.try_save():
        messages.success(request, f"{show} is saved.")
        return redirect(back)
    return form_page(
        request, form, heading=heading, cancel_url=back, active_nav="tour", lede=show.leg, **more
    )


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, show: UUID) -> HttpResponse:
    found = _show(request, show)
    return put_away_or_bring_back(request, found, found.leg.get_absolute_url())


def _show(request: ProductionRequest, show: UUID) -> Show:
    shows = Show.objects.select_related("leg")
    return get_object_or_404(shows, pk=show, leg__production=request.production)
