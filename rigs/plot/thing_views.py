"""The stage, risers and drops of mains: one form each."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.another import after_saving
from core.views.pages import carried_out, form_page, posted
from rigs.cautions import MAINS
from rigs.models import MainsDrop, Riser, StageSize
from rigs.plot.facing import offered
from rigs.plot.forms import DropForm, RiserForm, StageForm
from rigs.plot.places import page_of
from rigs.plot.services import RETIRED_SHOW, retire_drop, retire_riser, stage_as_usual
from rigs.plot.words import SIDES


def _stage(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    place = page_of(request, show_id)
    if place.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(place.at("plot"))
    sizes = StageSize.objects.select_related("show", "production")
    size = sizes.filter(production=request.production, show=place.show).first()
    is_new = size is None
    size = size or StageSize(production=request.production, show=place.show)
    form = StageForm(posted(request), instance=size, by=request.user)
    if form.try_save():
        messages.success(request, _("The stage is drawn at that size."))
        return redirect(place.at("plot"))
    return form_page(
        request,
        form,
        heading=_("Stage of {show}").format(show=place.show)
        if place.show
        else _("Stage of all shows"),
        cancel_url=place.at("plot"),
        template="rigs/plot/stage.html",
        own=place.show is not None and not is_new,
        **place.context,
    )


stage = require_http_methods(["GET", "POST"])(production_view(Action.EDIT_RIG)(_stage))
show_stage = require_http_methods(["GET", "POST"])(production_view(Action.LINE_CHECK)(_stage))


@require_POST
@production_view(Action.LINE_CHECK)
def end_show_stage(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    place = page_of(request, show_id)
    act = partial(stage_as_usual, place.the_show, by=request.user)
    carried_out(request, act, _("The stage is as for all shows."))
    return redirect(place.at("plot"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new_riser(request: ProductionRequest) -> HttpResponse:
    return _edit_riser(request, Riser(production=request.production), _("New riser"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def riser(request: ProductionRequest, riser_id: UUID) -> HttpResponse:
    found = _find_riser(request, riser_id)
    return _edit_riser(request, found, found.name)


def _find_riser(request: ProductionRequest, riser_id: UUID) -> Riser:
    risers = Riser.objects.live().select_related("production")
    found: Riser = get_object_or_404(risers, pk=riser_id, production=request.production)
    return found


def _edit_riser(request: ProductionRequest, found: Riser, heading: str) -> HttpResponse:
    form = RiserForm(posted(request), instance=found, by=request.user)
    end = "rigs:plot_riser_retire"
    return _edit(request, form, heading, end, tell=str, end_label=_("Take the riser off"))


@require_POST
@production_view(Action.EDIT_RIG)
def end_riser(request: ProductionRequest, riser_id: UUID) -> HttpResponse:
    found = _find_riser(request, riser_id)
    retire_riser(found, by=request.user)
    messages.success(request, _("“{found}” is taken off.").format(found=found))
    return redirect(within(request, "rigs:plot"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new_drop(request: ProductionRequest) -> HttpResponse:
    return _edit_drop(request, MainsDrop(production=request.production), _("New drop of mains"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def drop(request: ProductionRequest, drop_id: UUID) -> HttpResponse:
    found = _find_drop(request, drop_id)
    return _edit_drop(request, found, found.name)


def _find_drop(request: ProductionRequest, drop_id: UUID) -> MainsDrop:
    drops = MainsDrop.objects.live().select_related("production")
    found: MainsDrop = get_object_or_404(drops, pk=drop_id, production=request.production)
    return found


def _edit_drop(request: ProductionRequest, found: MainsDrop, heading: str) -> HttpResponse:
    form = DropForm(posted(request), instance=found, by=request.user)
    end = "rigs:plot_drop_retire"
    tell, label = attrgetter("labelled"), _("Take the drop off")
    return _edit(request, form, heading, end, tell=tell, end_label=label, caution=MAINS)


def _edit(
    request: ProductionRequest,
    form: RiserForm | DropForm,
    heading: str,
    end: str,
    *,
    tell: Callable[[Any], str],
    **more: Any,
) -> HttpResponse:
    """The page of one thing. `end` names the address that takes it off, `tell` what is saved."""
    found, place = form.instance, page_of(request, None)
    is_new = found._state.adding
    if form.try_save():
        messages.success(request, f"{tell(found)}.")
        return redirect(after_saving(request, form, place.at("plot")))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=place.at("plot"),
        template="rigs/plot/thing.html",
        lede=SIDES,
        directions=offered(),
        offer_another=is_new,
        end_url="" if is_new else within(request, end, found.pk),
        **more,
        **place.context,
    )


@require_POST
@production_view(Action.EDIT_RIG)
def end_drop(request: ProductionRequest, drop_id: UUID) -> HttpResponse:
    found = _find_drop(request, drop_id)
    act = partial(retire_drop, found, by=request.user)
    if not carried_out(request, act, _("“{found}” is taken off.").format(found=found)):
        return redirect(within(request, "rigs:plot_drop", found.pk))
    return redirect(within(request, "rigs:plot"))
