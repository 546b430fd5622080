"""The tour and its legs."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.db.models import Count, Prefetch, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.clock import now
from core.forms.tour import LegForm
from core.models import Leg, Show
from core.places import LEG
from core.views.another import after_saving
from core.views.pages import form_page, posted, retire_or_restore
from core.views.show_lines import put_lines


@require_safe
@production_view(Action.READ)
def tour(request: ProductionRequest) -> HttpResponse:
    in_use = Count("shows", filter=Q(shows__retired_at=None))
    # Grouping drops the order of the model.
    legs = list(request.production.legs.annotate(show_count=in_use).order_by("starts_on", "name"))
    context = {
        "legs": [leg for leg in legs if not leg.is_retired],
        "retired": [leg for leg in legs if leg.is_retired],
        "today": timezone.localdate(now()),
        "active_nav": "tour",
    }
    return render(request, "core/tour.html", context)


@require_safe
@production_view(Action.READ)
def leg(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    # Prefetched, so that the panels need not ask for the shows again.
    with_shows = Prefetch("shows", Show.objects.select_related("own_set"))
    legs = request.production.legs.select_related("production__rehearsal_room")
    leg = get_object_or_404(legs.prefetch_related(with_shows), pk=leg_id)
    shows = list(leg.shows.all())
    put_lines(request, leg)
    context = {
        "leg": leg,
        "shows": [show for show in shows if not show.is_retired],
        "retired": [show for show in shows if show.is_retired],
        "panels": LEG.call(request, leg),
        "today": timezone.localdate(now()),
        "active_nav": "tour",
    }
    return render(request, "core/leg.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest) -> HttpResponse:
    back = within(request, "core:tour")
    leg = Leg(production=request.production)
    return _edit(request, leg, _("Add a leg"), back, offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = _leg(request, leg_id)
    retire_url = within(request, "core:leg_retire", leg.pk)
    back = leg.get_absolute_url()
    return _edit(request, leg, _("About this leg"), back, retire_url=retire_url, item=leg)


def _edit(
    request: ProductionRequest, leg: Leg, heading: str, back: str, **more: object
) -> HttpResponse:
    form = LegForm(posted(request), instance=leg)
    if form.try_save():
        messages.success(request, _("{leg} is saved.").format(leg=leg))
        return redirect(after_saving(request, form, leg.get_absolute_url()))
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="tour", **more)


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = _leg(request, leg_id)
    return retire_or_restore(request, leg, leg.get_absolute_url())


def _leg(request: ProductionRequest, leg_id: UUID) -> Leg:
    return get_object_or_404(request.production.legs, pk=leg_id)
