"""The figures of a unit: impedances, windings, power, weight."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.models import Unit
from rigs.units.figures_form import FiguresForm


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    if unit.retired:
        return retired_page(request, unit, own)
    form = FiguresForm(unit.rig, unit, posted(request))
    return change_page(
        request,
        form,
        heading=_("Figures of “{unit}”").format(unit=unit),
        done_url=own,
        unit=unit,
        success=_("The figures of “{unit}” are saved.").format(unit=unit),
        template="rigs/units/figures.html",
    )
