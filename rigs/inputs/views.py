"""Pages of an input: its source, its microphone or DI, and where that stands."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.cautions import near, of_input
from rigs.editing.kinds import InputForm
from rigs.editing.ordering import next_position
from rigs.editing.pages import address, change_page, edit_page, find_part, find_rig
from rigs.models import Input
from rigs.places import INPUT
from rigs.revisions.read import live
from rigs.wording.build import snapshot_view


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    entry = Input(rig=rig)
    listed = f"{rig.get_absolute_url()}#inputs"
    form = InputForm(rig, entry, posted(request), fixed={"position": next_position(entry)})
    form.initial["unit"] = request.GET.get("unit", "")
    another = "another" in request.POST
    return change_page(
        request,
        form,
        heading="Add an input",
        done_url=listed,
        offer_another=True,
        next_url=address(rig, "input_new") if another else address(rig, "input", entry.pk),
        success=f"“{request.POST.get('name', '').strip()}” is added.",
    )


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    entry = find_part(request, Input, rig_id, input_id)
    # A retired input is not in the live state, and its page is shown all the same.
    snapshot = live(entry.rig) | {str(entry.pk): entry.fields()}
    view = snapshot_view(entry.rig, snapshot)
    shown = view.input(entry.pk)
    unit = view.unit(entry.unit_id) if entry.unit_id else None
    context = {
        "rig": entry.rig,
        "input": entry,
        "view": shown,
        "unit": unit,
        "cautions": [*(of_input(shown) if shown else []), *(near(unit) if unit else [])],
        "panels": INPUT.call(request, entry),
        "active_nav": "rigs",
    }
    return render(request, "rigs/inputs/input.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    entry = find_part(request, Input, rig_id, input_id)
    return edit_page(
        request,
        entry,
        InputForm,
        heading=f"Input {entry}",
        success=f"“{entry}” is saved.",
        back=address(entry.rig, "input", entry.pk),
        item=entry,
    )
