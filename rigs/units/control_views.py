"""Controls of a unit."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.editing.kinds import ControlForm
from rigs.editing.pages import add_to_unit, address, edit_page, find_part
from rigs.models import Control


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    return add_to_unit(
        request,
        rig_id,
        unit_id,
        ControlForm,
        heading=_("Add a control to “{unit}”"),
        named="name",
        success=_("“{name}” is added."),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, control_id: UUID) -> HttpResponse:
    control = find_part(request, Control, rig_id, control_id)
    return edit_page(
        request,
        control,
        ControlForm,
        heading=_("“{control}” of “{unit}”").format(control=control, unit=control.unit),
        success=_("“{name}” is saved.").format(name=control),
        back=address(control.rig, "unit", control.unit_id),
    )
