"""The shows of a leg."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.tour import ShowForm
from core.models import Leg, Show
from core.places import NEW_SHOW
from core.sets.services import begin, begun_with
from core.views.another import after_saving
from core.views.pages import form_page, posted, retire_or_restore


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg: Leg = get_object_or_404(request.production.legs, pk=leg_id)
    show = Show(leg=leg, held_on=leg.starts_on)
    return _edit(request, show, _("Add a show"), offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = _show(request, show_id)
    retire_url = within(request, "core:show_retire", show.pk)
    return _edit(request, show, _("About this show"), retire_url=retire_url, item=show)


def _edit(request: ProductionRequest, show: Show, heading: str, **more: object) -> HttpResponse:
    form = ShowForm(posted(request), instance=show, scale=request.user.temperature_scale)
    back = show.leg.get_absolute_url()
    is_new = show._state.adding
    with transaction.atomic():
        is_saved = form.try_save()
        source = begin(show, request.user) if is_saved and is_new else None
        begun = NEW_SHOW.call(show, request.user) if is_saved and is_new else []
    if is_saved:
        messages.success(request, _("{show} is saved.").format(show=show))
        if source is not None:
            messages.info(request, begun_with(source))
        for words in begun:
            messages.info(request, words)
        return redirect(after_saving(request, form, back))
    return form_page(
        request, form, heading=heading, cancel_url=back, active_nav="tour", lede=show.leg, **more
    )


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = _show(request, show_id)
    return retire_or_restore(request, show, show.leg.get_absolute_url())


def _show(request: ProductionRequest, show_id: UUID) -> Show:
    shows = Show.objects.select_related("leg")
    return get_object_or_404(shows, pk=show_id, leg__production=request.production)
