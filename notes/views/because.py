"""Change something because of a note: pick what, then change it in the rig's own form."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from notes.forms.because import BecauseControlForm, BecauseForm, BecauseInputForm
from notes.models import Note
from notes.reading import inputs_of, notes_of, units_of
from rigs.models import Control, Input
from rigs.services.changing import attempt
from rigs.views.pages import retired_page

UNCHANGED = "Nothing is changed yet: it is like that already."


@require_safe
@production_view(Action.EDIT_RIG)
def pick(request: ProductionRequest, note: UUID) -> HttpResponse:
    found = _note(request, note)
    controls = Control.objects.filter(retired=False)
    context = {
        "note": found,
        "heard_inputs": list(found.inputs.all()),
        "heard_units": list(found.units.all()),
        "inputs": inputs_of(found.rig),
        "units": units_of(found.rig).prefetch_related(
            Prefetch("controls", controls, to_attr="live_controls")
        ),
        "active_nav": "notes",
    }
    return render(request, "notes/pick.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def input(request: ProductionRequest, note: UUID, input: UUID) -> HttpResponse:
    found = _note(request, note)
    part = get_object_or_404(Input, pk=input, rig=found.rig)
    if part.retired and request.method == "GET":
        return retired_page(request, part, found.get_absolute_url())
    return _change(request, BecauseInputForm(found.rig, part, posted(request), note=found))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def control(request: ProductionRequest, note: UUID, control: UUID) -> HttpResponse:
    found = _note(request, note)
    part = get_object_or_404(Control.objects.select_related("unit"), pk=control, rig=found.rig)
    if part.retired and request.method == "GET":
        return retired_page(request, part, found.get_absolute_url())
    return _change(request, BecauseControlForm(found.rig, part, posted(request), note=found))


def _change(request: ProductionRequest, form: BecauseForm) -> HttpResponse:
    with transaction.atomic():
        outcome = attempt(form, author=request.user)
        if outcome.revision is not None:
            form.tie_clips(outcome.revision, request.user)
    if outcome.revision is not None:
        messages.success(
            request,
            f"Change {outcome.revision.number} is made. Listen again and say how it turned out.",
        )
        return redirect(form.note)
    if outcome.done:
        form.add_error(None, UNCHANGED)
    context = {"form": outcome.form, "note": form.note, "part": form.row, "active_nav": "notes"}
    return render(request, "notes/because.html", context, status=outcome.status)


def _note(request: ProductionRequest, note: UUID) -> Note:
    return get_object_or_404(notes_of(request.production), pk=note)
