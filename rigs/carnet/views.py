"""The list of goods for a carnet, on the page and as a file, and what is written for it alone."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.another import after_saving
from core.views.pages import form_page, posted
from rigs.carnet.by_hand import GoodsForm, new_goods
from rigs.carnet.goods import ADVICE, as_rows
from rigs.carnet.journey import Journey
from rigs.carnet.load import carnet_of, state_of_carnet
from rigs.carnet.paper import carnet_sheet
from rigs.carnet.services import take_off
from rigs.lists.views import grid_file, variants_of
from rigs.models import CarnetGoods
from rigs.paper.responses import paper_of, pdf

TITLE = gettext_lazy("Carnet list")


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest) -> HttpResponse:
    """?leg= or ?show= for a journey, ?open=all for every line at once."""
    variants = variants_of(request)
    journey = Journey.asked(request.production, request.GET)
    rigs = journey.rigs()
    carnet = carnet_of(request.production, variants, rigs)
    context = {
        "carnet": carnet,
        "advice": ADVICE,
        "state": state_of_carnet(carnet, request.production, variants, rigs),
        "journey": journey,
        "all_open": request.GET.get("open") == "all",
        "active_nav": "rigs",
    }
    return render(request, "rigs/carnet/page.html", context)


@require_safe
@production_view(Action.READ)
def file(request: ProductionRequest, format: str) -> HttpResponse:
    variants = variants_of(request)
    journey = Journey.asked(request.production, request.GET)
    rigs = journey.rigs()
    carnet = carnet_of(request.production, variants, rigs)
    state = partial(state_of_carnet, carnet, request.production, variants, rigs)
    asked = f"?{journey.query}" if journey.query else ""
    address = f"{within(request, 'rigs:carnet')}{asked}"
    title = str(TITLE)
    if journey.words:
        title = _("Carnet list, {shows}").format(shows=journey.words)
    if format == "pdf":
        sheet = carnet_sheet(
            carnet,
            request.production,
            title=title,
            paper=paper_of(request),
            state=state(),
            address=request.build_absolute_uri(address),
        )
        return pdf(request, sheet, title)
    rows = as_rows(carnet.cases)
    return grid_file(request, rows, title, format, state=state, page=address)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest) -> HttpResponse:
    """?kind= for what is to be written."""
    row = new_goods(request.production, request.GET.get("kind", ""))
    return _edit(request, row, _("Goods for the carnet list"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, goods_id: UUID) -> HttpResponse:
    row = _find(request, goods_id)
    return _edit(request, row, str(row))


@require_POST
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, goods_id: UUID) -> HttpResponse:
    row = _find(request, goods_id)
    take_off(row, by=request.user)
    messages.success(request, _("“{row}” is taken off the list.").format(row=row))
    return redirect(within(request, "rigs:carnet"))


def _find(request: ProductionRequest, goods_id: UUID) -> CarnetGoods:
    rows = CarnetGoods.objects.live().select_related("production")
    row: CarnetGoods = get_object_or_404(rows, pk=goods_id, production=request.production)
    return row


def _edit(request: ProductionRequest, row: CarnetGoods, heading: str) -> HttpResponse:
    is_new, back = row._state.adding, within(request, "rigs:carnet")
    form = GoodsForm(posted(request), instance=row, by=request.user)
    if form.try_save():
        messages.success(request, f"{row}.")
        return redirect(after_saving(request, form, back))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=back,
        template="rigs/carnet/goods.html",
        offer_another=is_new,
        goods=None if is_new else row,
        changes=[] if is_new else row.changes.all(),
        active_nav="rigs",
    )
