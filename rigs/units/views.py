"""Units: add with the usual controls, set all controls at once, edit, copy."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from rigs.cautions import of_unit
from rigs.editing.kinds import UnitForm
from rigs.editing.ordering import in_order, next_position
from rigs.editing.pages import address, change_page, edit_page, find_part, find_rig, retired_page
from rigs.gear import GEAR
from rigs.models import Unit
from rigs.overview.copy import copy_unit
from rigs.overview.forms import CopyUnitForm
from rigs.overview.listing import live_view
from rigs.units.new_unit import NewUnitForm
from rigs.units.settings_form import SettingsForm
from rigs.units.several import add_units
from rigs.units.several_forms import SeveralForm, TakenForm
from rigs.upkeep.views import unit_items


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    gear = request.GET.get("gear", "")
    if request.method == "GET" and gear not in GEAR:
        context = {"rig": rig, "kinds": GEAR.values(), "active_nav": "rigs"}
        return render(request, "rigs/units/kinds_of_gear.html", context)
    unit = Unit(rig=rig)
    place = {"position": next_position(unit)}
    form = NewUnitForm(rig, unit, posted(request), gear=gear, fixed=place)
    return change_page(
        request,
        form,
        heading=_("Add a unit: {kind}").format(kind=form.gear.words),
        gear=form.gear,
        done_url=f"{rig.get_absolute_url()}#units",
        template="rigs/units/new.html",
        next_url=address(rig, "unit", unit.pk),
        offer_another=True,
        success=_("“{name}” is in the rig.").format(name=request.POST.get("name", "").strip()),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def several(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    if "again" in request.POST:  # back from what was read to the lines
        return _lines_page(request, SeveralForm(rig, initial={"lines": request.POST.get("lines")}))
    form = SeveralForm(rig, posted(request))
    if not form.is_bound or not form.is_valid():
        return _lines_page(request, form)
    looked_at = "looked_at" in request.POST
    taken = TakenForm(form.drafts, request.POST if looked_at else None)
    # Where a dial is set, how it was read is shown before it is saved.
    is_sure = taken.is_valid() if looked_at else not any(draft.dials for draft in form.drafts)
    if not is_sure or "look" in request.POST:
        return _taken_page(request, form, taken)
    made = add_units(rig=rig, drafts=taken.drafts, author=request.user)
    words = ngettext(
        "One unit is in the rig. Go through their settings.",
        "{n} units are in the rig. Go through their settings.",
        len(made),
    )
    messages.success(request, words.format(n=len(made)))
    return redirect(f"{address(rig, 'unit', made[0])}?walk=1#settings")


def _lines_page(request: ProductionRequest, form: SeveralForm) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=_("Add several units"),
        active_nav="rigs",
        submit=_("Add them"),
        cancel_url=f"{form.rig.get_absolute_url()}#units",
        template="rigs/units/several.html",
        rig=form.rig,
        kinds=GEAR.values(),
    )


def _taken_page(request: ProductionRequest, lines: SeveralForm, taken: TakenForm) -> HttpResponse:
    return form_page(
        request,
        taken,
        heading=_("Is this what you meant?"),
        active_nav="rigs",
        cancel_url=f"{lines.rig.get_absolute_url()}#units",
        template="rigs/units/taken.html",
        rig=lines.rig,
        lines=lines.cleaned_data["lines"],
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def page(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    # Its page stays readable, but nothing on it may be set.
    if unit.retired and request.method == "POST":
        return retired_page(request, unit, own)
    form = SettingsForm(unit.rig, unit, posted(request))
    around = _around(unit)
    walking = "walk" in request.GET
    # Not on a form that comes back, where the cursor would lead away from its errors.
    if walking and not form.is_bound:
        form.start_typing()
    beside = live_view(unit.rig)
    shown = beside.view.unit(unit.pk)
    return change_page(
        request,
        form,
        heading=str(unit),
        done_url=own,
        template="rigs/units/unit.html",
        unit=unit,
        view=shown,
        signed=beside.signed,
        cautions=of_unit(shown) if shown else [],
        inputs=[entry for entry in beside.view.inputs if entry.unit == str(unit.pk)],
        **around,
        next_url=_next(request, around.get("after")),
        walking=walking,
        upkeep=unit_items(unit),
        scenes=beside.view.scenes_on(unit.pk),
        retired_controls=[control for control in form.every_control if control.retired],
        success=_("The settings of “{unit}” are saved.").format(unit=unit),
    )


def _next(request: ProductionRequest, after: Unit | None) -> str:
    """The settings of the next unit, where the button that goes on to it was pressed."""
    asked = after is not None and "next" in request.POST
    return f"{address(after.rig, 'unit', after.pk)}?walk=1#settings" if asked and after else ""


def _around(unit: Unit) -> dict[str, Unit | None]:
    """The neighbours in the rig, for going through it in order."""
    rows = in_order(Unit.objects.live().filter(rig=unit.rig_id).select_related("rig"))
    at = next((n for n, row in enumerate(rows) if row.pk == unit.pk), None)
    if at is None:
        return {}
    return {
        "before": rows[at - 1] if at else None,
        "after": rows[at + 1] if at + 1 < len(rows) else None,
    }


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    return edit_page(
        request,
        unit,
        UnitForm,
        heading=_("About “{unit}”").format(unit=unit),
        success=_("“{name}” is saved.").format(name=unit),
        back=address(unit.rig, "unit", unit.pk),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def copy(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    form = CopyUnitForm(unit, posted(request))
    own = address(unit.rig, "unit", unit.pk)
    if unit.retired:
        return retired_page(request, unit, own)
    if form.is_bound and form.is_valid():
        made = copy_unit(unit=unit, author=request.user, **form.cleaned_data)
        messages.success(request, _("“{copy}” is a copy of “{unit}”.").format(copy=made, unit=unit))
        return redirect(address(made.rig, "unit", made.pk))
    return form_page(
        request,
        form,
        heading=_("Copy “{unit}”").format(unit=unit),
        cancel_url=own,
        active_nav="rigs",
        submit=_("Copy"),
    )
