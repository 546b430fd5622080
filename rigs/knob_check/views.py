"""Check a panel against a photo, and take over what was turned."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.stored_files import StoredFileUnreadable
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.knob_check.checking import CannotCheck, KnobState, check, circled
from rigs.knob_check.forms import CheckForm, TakeOverForm
from rigs.models import Control, Photo


@require_http_methods(["GET", "POST"])
@production_view(Action.READ)
def against(request: ProductionRequest, rig_id: UUID, photo_id: UUID) -> HttpResponse:
    """What a photo of now shows of the knobs that are circled on this one. Nothing is written."""
    photo = find_part(request, Photo, rig_id, photo_id, "image")
    own = address(photo.rig, "photo", photo.pk)
    if photo.retired:
        return retired_page(request, photo, own)
    form = CheckForm(posted(request), request.FILES or None)
    results: list[list[KnobState]] = []
    if form.is_valid():
        try:
            results = [check(photo, picture) for picture in form.cleaned_data["photos"]]
        except (CannotCheck, StoredFileUnreadable) as error:
            form.add_error("photos", str(error))
    context: dict[str, Any] = {
        "rig": photo.rig,
        "photo": photo,
        "form": form,
        "dials": circled(photo),
        "results": results,
        "all_same": bool(results) and all(each.is_same for states in results for each in states),
        "back_url": own,
        "active_nav": "rigs",
    }
    return render(request, "rigs/knob_check/check.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def take_over(request: ProductionRequest, rig_id: UUID, control_id: UUID) -> HttpResponse:
    """The setting that a photo showed, to be confirmed with its reason."""
    control = find_part(request, Control, rig_id, control_id, "unit")
    back = address(control.rig, "unit", control.unit_id)
    if control.retired:
        return retired_page(request, control, back)
    form = TakeOverForm(control.rig, control, posted(request), ask_reason=True)
    if request.method == "GET" and (setting := request.GET.get("setting", "")):
        form.initial["setting"] = setting
    return change_page(
        request,
        form,
        heading=f"Take over how “{control}” stands",
        success=f"“{control}” is saved.",
        done_url=back,
    )
