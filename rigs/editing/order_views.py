"""One step up or down in the lists of a rig."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import direction, posted_id
from rigs.editing.ordering import move
from rigs.editing.pages import address, find_part
from rigs.models import Control, Input, Link, Part, Unit


@require_POST
@production_view(Action.EDIT_RIG)
def units(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    part = _move(request, rig_id, Unit, "unit")
    return redirect(f"{part.rig.get_absolute_url()}#units")


@require_POST
@production_view(Action.EDIT_RIG)
def inputs(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    part = _move(request, rig_id, Input, "input")
    return redirect(f"{part.rig.get_absolute_url()}#inputs")


@require_POST
@production_view(Action.EDIT_RIG)
def links(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    part = _move(request, rig_id, Link, "link")
    return redirect(f"{part.rig.get_absolute_url()}#path")


@require_POST
@production_view(Action.EDIT_RIG)
def controls(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    _move(request, rig_id, Control, "control")
    return redirect(f"{address(unit.rig, 'unit', unit.pk)}#order")


def _move(request: ProductionRequest, rig_id: UUID, model: type[Part], name: str) -> Part:
    part = find_part(request, model, rig_id, posted_id(request, name))
    move(rig=part.rig, part=part, direction=direction(request), author=request.user)
    return part
