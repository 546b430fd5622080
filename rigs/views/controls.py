"""Controls of a unit."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.forms.kinds import ControlForm
from rigs.models import Control, Unit
from rigs.services.ordering import next_position
from rigs.views.pages import address, change_page, find_part, retired_page


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig: UUID, unit: UUID) -> HttpResponse:
    found = find_part(request, Unit, rig, unit)
    own = address(found.rig, "unit", found.pk)
    if found.retired:
        return retired_page(request, found, own)
    control = Control(rig=found.rig, unit=found)
    fixed = {"unit": found.pk, "position": next_position(control)}
    another = "another" in request.POST
    return change_page(
        request, ControlForm(found.rig, control, posted(request), fixed=fixed),
        heading=f"Add a control to “{found}”", done_url=own, offer_another=True,
        next_url=address(found.rig, "control_new", found.pk) if another else own,
        said=f"“{request.POST.get('name', '').strip()}” is added.",
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig: UUID, control: UUID) -> HttpResponse:
    found = find_part(request, Control, rig, control)
    own = address(found.rig, "unit", found.unit_id)
    if found.retired and request.method == "GET":
        return retired_page(request, found, own)
    return change_page(
        request, ControlForm(found.rig, found, posted(request)), done_url=own,
        heading=f"“{found}” of “{found.unit}”", said=f"“{found}” is saved.",
        retire_url=address(found.rig, "control_retire", found.pk),
    )  # fmt: skip
