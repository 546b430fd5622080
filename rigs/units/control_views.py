"""Controls of a unit."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.editing.kinds import ControlForm
from rigs.editing.pages import add_to_unit, address, edit_page, find_part
from rigs.models import Control


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig: UUID, unit: UUID) -> HttpResponse:
    return add_to_unit(
        request,
        rig,
        unit,
        ControlForm,
        heading="Add a control to “{}”",
        named="name",
        said="“{}” is added.",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig: UUID, control: UUID) -> HttpResponse:
    found = find_part(request, Control, rig, control)
    return edit_page(
        request,
        found,
        ControlForm,
        heading=f"“{found}” of “{found.unit}”",
        said=f"“{found}” is saved.",
        back=address(found.rig, "unit", found.unit_id),
    )
