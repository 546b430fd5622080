"""The scale of a whole unit: its dials read as a clock, or by numbers."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.models import Unit
from rigs.units.scale import dials_of
from rigs.units.scale_forms import ScaleForm, ScaleOptions


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def change(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    if unit.retired:
        return retired_page(request, unit, own)
    options = ScaleOptions(dials_of(unit), request.POST or request.GET)
    page: dict[str, Any] = {
        "heading": _("How the dials of “{unit}” are read").format(unit=unit),
        "unit": unit,
        "options": options,
        "template": "rigs/units/scale.html",
    }
    if not options.is_valid():
        return render(request, page["template"], page | {"rig": unit.rig, "active_nav": "rigs"})
    return change_page(
        request,
        ScaleForm(unit, options.scale, posted(request)).up_to_date(),
        done_url=f"{own}#settings",
        success=_("The dials of “{unit}” have the new scale.").format(unit=unit),
        **page,
    )
