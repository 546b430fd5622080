"""Bring an input list: upload, say what the columns are, look at every row, confirm."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page
from rigs.lists import importing
from rigs.lists.forms import BringForm, MappingForm, ReasonForm
from rigs.models import ListImport
from rigs.revisions.reasons import ReasonRequired
from rigs.revisions.record import Conflict


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def bring(request: ProductionRequest) -> HttpResponse:
    form = BringForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            brought = importing.bring(
                production=request.production, by=request.user, name=file.name, data=file.read()
            )
        except ValueError as error:
            form.add_error("file", str(error))
        else:
            return redirect("rigs:list_import", request.production.pk, brought.pk)
    return form_page(
        request, form, heading="Bring an input list", submit="Look at its rows", active_nav="rigs",
        cancel_url=reverse("rigs:input_list", args=[request.production.pk]),
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def look(request: ProductionRequest, brought: UUID) -> HttpResponse:
    found = get_object_or_404(ListImport, pk=brought, production=request.production)
    if found.applied_at is not None:
        messages.info(request, "This list has been taken over already.")
        return redirect("rigs:input_list", request.production.pk)
    posted = request.POST if request.method == "POST" else None
    mapping = MappingForm(found, posted if posted and "remap" in posted else None)
    reason = ReasonForm(posted if posted and "confirm" in posted else None)
    if mapping.is_bound and mapping.is_valid() and _remapped(found, mapping):
        return redirect("rigs:list_import", request.production.pk, found.pk)
    if reason.is_bound and reason.is_valid() and _applied(request, found, reason):
        return redirect("rigs:input_list", request.production.pk)
    context = {
        "brought": found, "mapping": mapping, "reason": reason, "active_nav": "rigs",
        "preview": importing.preview(found),
    }  # fmt: skip
    return render(request, "rigs/lists/import.html", context)


def _remapped(found: ListImport, form: MappingForm) -> bool:
    try:
        importing.remap(brought=found, mapping=form.mapping())
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True


def _applied(request: ProductionRequest, found: ListImport, form: ReasonForm) -> bool:
    try:
        done = importing.apply(brought=found, by=request.user, reason=form.reason())
    except (ReasonRequired, Conflict) as error:
        form.add_error(None, str(error))
        return False
    except ValidationError as error:
        form.add_error(None, "; ".join(error.messages))
        return False
    rigs = len(done)
    what = "Nothing had to change." if not rigs else f"Taken over: {rigs} rig(s) changed."
    messages.success(request, what)
    return True
