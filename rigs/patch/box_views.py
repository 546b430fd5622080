"""Boxes of the patch and the runs between them; what is lent to other acts at a show."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.another import after_saving
from core.views.pages import carried_out, form_page, posted
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchRun
from rigs.patch.forms import BoxAtShowForm, BoxForm, LentForm, RunForm
from rigs.patch.places import place_of
from rigs.patch.services import RETIRED_SHOW, box_as_usual, remove_lent, remove_run, retire_box


def _find_box(request: ProductionRequest, box_id: UUID) -> PatchBox:
    boxes = PatchBox.objects.live().select_related("production")
    box: PatchBox = get_object_or_404(boxes, pk=box_id, production=request.production)
    return box


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest) -> HttpResponse:
    return _edit(request, PatchBox(production=request.production), _("New box"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, box_id: UUID) -> HttpResponse:
    box = _find_box(request, box_id)
    return _edit(request, box, box.name)


def _edit(request: ProductionRequest, box: PatchBox, heading: str) -> HttpResponse:
    is_new, place = box._state.adding, place_of(request, None)
    form = BoxForm(posted(request), instance=box, by=request.user)
    if form.try_save():
        messages.success(
            request,
            ngettext("{box}: {n} way.", "{box}: {n} ways.", box.ways).format(
                box=box.name, n=box.ways
            ),
        )
        return redirect(after_saving(request, form, place.at("patch")))
    runs = [] if is_new else box.runs.select_related("source", "target")
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=place.at("patch"),
        template="rigs/patch/box.html",
        box=None if is_new else box,
        runs=runs,
        offer_another=is_new,
        **place.context,
    )


@require_POST
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, box_id: UUID) -> HttpResponse:
    box = _find_box(request, box_id)
    act = partial(retire_box, box, by=request.user)
    if not carried_out(request, act, _("“{name}” is taken off.").format(name=box.name)):
        return redirect(within(request, "rigs:patch_box", box.pk))
    return redirect(within(request, "rigs:patch"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new_run(request: ProductionRequest, box_id: UUID) -> HttpResponse:
    box, place = _find_box(request, box_id), place_of(request, None)
    run = PatchRun(source=box, count=box.ways)
    form = RunForm(posted(request), instance=run, by=request.user)
    if form.try_save():
        messages.success(request, f"{run}.")
        return redirect(place.at("patch"))
    return form_page(
        request,
        form,
        heading=_("What {name} is plugged into").format(name=box.name),
        cancel_url=within(request, "rigs:patch_box", box.pk),
        template="rigs/patch/form.html",
        **place.context,
    )


@require_POST
@production_view(Action.EDIT_RIG)
def end_run(request: ProductionRequest, run_id: UUID) -> HttpResponse:
    runs = PatchRun.objects.select_related("source__production", "target")
    run = get_object_or_404(runs, pk=run_id, source__production=request.production)
    remove_run(run, by=request.user)
    messages.success(request, _("{run}: taken out.").format(run=run))
    return redirect(within(request, "rigs:patch_box", run.source_id))


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def box_at_show(request: ProductionRequest, show_id: UUID, box_id: UUID) -> HttpResponse:
    """What stands in the place of a box at the show."""
    place, box = place_of(request, show_id), _find_box(request, box_id)
    if place.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(place.at("patch"))
    show = place.the_show
    there = PatchBoxAtShow.objects.filter(show=show, box=box).first()
    layer = there or PatchBoxAtShow(show=show)
    layer.show, layer.box = show, box
    form = BoxAtShowForm(posted(request), instance=layer, by=request.user)
    if form.try_save():
        messages.success(
            request,
            _("{box} at {show}: {what}.").format(
                box=box.mark, show=show, what=layer.said.rstrip(".")
            ),
        )
        return redirect(place.at("patch"))
    return form_page(
        request,
        form,
        heading=_("{name} ({mark}) at this show").format(name=box.name, mark=box.mark),
        cancel_url=place.at("patch"),
        template="rigs/patch/box_at_show.html",
        box=box,
        layer=there,
        later=f"{box.name}, {show}",
        **place.context,
    )


@require_POST
@production_view(Action.LINE_CHECK)
def box_usual(request: ProductionRequest, show_id: UUID, box_id: UUID) -> HttpResponse:
    """Answers the same where nothing stands in its place, as when the button was pressed twice."""
    place, box = place_of(request, show_id), _find_box(request, box_id)
    act = partial(box_as_usual, place.the_show, box, by=request.user)
    carried_out(request, act, _("{name} is as for all shows.").format(name=box.name))
    return redirect(place.at("patch"))


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def new_lent(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = place_of(request, show_id).the_show
    return _edit_lent(request, LentLine(show=show), _("Lent to another act, or borrowed"))


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def edit_lent(request: ProductionRequest, show_id: UUID, lent_id: UUID) -> HttpResponse:
    show = place_of(request, show_id).the_show
    lent = get_object_or_404(LentLine.objects.select_related("box"), pk=lent_id, show=show)
    lent.show = show
    return _edit_lent(request, lent, str(lent))


def _edit_lent(request: ProductionRequest, lent: LentLine, heading: str) -> HttpResponse:
    is_new, place = lent._state.adding, place_of(request, lent.show_id)
    if place.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(place.at("patch"))
    form = LentForm(posted(request), instance=lent, by=request.user)
    if form.try_save():
        messages.success(request, f"{lent}.")
        return redirect(after_saving(request, form, place.at("patch")))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=place.at("patch"),
        template="rigs/patch/lent.html",
        lent=None if is_new else lent,
        offer_another=is_new,
        later=_("Lent at {show}").format(show=lent.show),
        **place.context,
    )


@require_POST
@production_view(Action.LINE_CHECK)
def end_lent(request: ProductionRequest, show_id: UUID, lent_id: UUID) -> HttpResponse:
    place = place_of(request, show_id)
    lents = LentLine.objects.select_related("show__leg__production")
    lent = get_object_or_404(lents, pk=lent_id, show=place.the_show)
    carried_out(
        request,
        partial(remove_lent, lent, by=request.user),
        _("{lent}: not any more.").format(lent=lent),
    )
    return redirect(place.at("patch"))
