"""What the pages that change a rig have in common."""

from __future__ import annotations

from typing import Any, TypeVar
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from core.access.views import ProductionRequest
from core.routes import address_of
from core.views import another
from core.views.pages import posted
from rigs.editing.guarded import GuardedForm
from rigs.editing.ordering import next_position
from rigs.editing.part_forms import PartForm
from rigs.editing.submit import attempt
from rigs.models import Part, Rig, Unit

P = TypeVar("P", bound=Part)


def find_rig(request: ProductionRequest, rig_id: UUID) -> Rig:
    """The rig of this production, or 404."""
    rigs = Rig.objects.select_related("player", "production")
    rig: Rig = get_object_or_404(rigs, pk=rig_id, production=request.production)
    return rig


def find_part(
    request: ProductionRequest, model: type[P], rig_id: UUID, part_id: UUID, *along: str
) -> P:
    """The part of that rig of this production, retired ones too, or 404. `along` are records that
    are read in the same query."""
    parts = model.objects.select_related("rig__player", "rig__production", *along)
    rig: P = get_object_or_404(parts, pk=part_id, rig=rig_id, rig__production=request.production)
    return rig


def address(rig: Rig, name: str, *parts: Any) -> str:
    """The address of a page below a rig."""
    return address_of(f"rigs:{name}", rig.production_id, rig.pk, *parts)


def change_page(
    request: ProductionRequest,
    form: GuardedForm,
    *,
    heading: str,
    done_url: str,
    success: str,
    template: str = "rigs/editing/change.html",
    **more: Any,
) -> HttpResponse:
    """One form that changes a rig. `success` tells what was done; `more` is for the template, also
    `offer_another`, where one makes many of the thing (core.views.another)."""
    if more.get("offer_another"):
        another.begin(request, form)
    outcome = attempt(form, author=request.user)
    if outcome.done:
        if outcome.revision is None:
            messages.info(request, "Nothing was different, so nothing was written.")
        else:
            messages.success(request, success)
        next_url = more.get("next_url") or done_url
        return redirect(another.after_saving(request, form, next_url))
    context = {
        "form": outcome.form,
        "rig": form.rig,
        "heading": heading,
        "cancel_url": done_url,
        "active_nav": "rigs",
    }
    return render(request, template, context | more, status=outcome.status)


def add_to_unit(
    request: ProductionRequest,
    rig_id: UUID,
    unit_id: UUID,
    form: type[PartForm],
    *,
    heading: str,
    named: str,
    success: str,
    section: str = "",
) -> HttpResponse:
    """One more part of a unit, or several in a row. In `heading`, {unit} is the unit, and in
    `success` {name} is what was typed into the field `named`; `section` is where the unit's page
    lists such parts."""
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    if unit.retired:
        return retired_page(request, unit, own)
    part = form._meta.model(rig=unit.rig, unit=unit)
    name = request.POST.get(named, "").strip()
    fixed = {"unit": unit.pk, "position": next_position(part)}
    return change_page(
        request,
        form(unit.rig, part, posted(request), fixed=fixed),
        heading=heading.format(unit, unit=unit),
        done_url=own,
        offer_another=True,
        next_url=f"{own}{section}",
        success=success.format(name, name=name),
    )


def edit_page(
    request: ProductionRequest,
    part: Part,
    form: type[PartForm],
    *,
    heading: str,
    success: str,
    back: str,
    **more: Any,
) -> HttpResponse:
    """The form of a part, with the way to retire it. What is typed for a part that was retired
    meanwhile is not lost: its form comes back and says so."""
    if part.retired and request.method == "GET":
        return retired_page(request, part, back)
    return change_page(
        request,
        form(part.rig, part, posted(request)),
        heading=heading,
        success=success,
        done_url=back,
        retire_url=address(part.rig, f"{part.KIND}_retire", part.pk),
        **more,
    )


def retired_page(request: ProductionRequest, part: Part, back_to: str) -> HttpResponse:
    """Lead whoever opens the form of a retired part back, with a warning."""
    words = _("“{part}” is retired. Restore it before changing it.")
    messages.warning(request, words.format(part=part))
    return redirect(back_to)
