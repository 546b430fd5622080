"""The findings of a rig: what is open, what lacks a measurement, what was accepted."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.checks.acceptance import FindingGone, acknowledge, told
from rigs.checks.forms import AcceptForm
from rigs.checks.panels import Shown, shown
from rigs.checks.registry import RULES
from rigs.editing.pages import find_rig
from rigs.models import Rig


@require_safe
@production_view(Action.READ)
def findings(request: ProductionRequest, rig: UUID) -> HttpResponse:
    return _page(request, find_rig(request, rig))


@require_POST
@production_view(Action.EDIT_RIG)
def accept(request: ProductionRequest, rig: UUID) -> HttpResponse:
    found, form = find_rig(request, rig), AcceptForm(posted(request))
    if not form.is_valid():
        return _page(request, found, form)
    try:
        row = acknowledge(rig=found, user=request.user, **form.cleaned_data)
    except (FindingGone, ValidationError) as error:
        form.add_error(None, error if isinstance(error, ValidationError) else str(error))
        return _page(request, found, form)
    done = "Accepted, with your words" if row.accepted else "Open again"
    messages.success(request, f"{done}: {row.said_of}.")
    return redirect("rigs:findings", request.production.pk, found.pk)


def _page(request: ProductionRequest, rig: Rig, form: AcceptForm | None = None) -> HttpResponse:
    found: Shown = shown(told([rig])[rig.pk], form)
    context = {
        "rig": rig,
        "shown": found,
        "form": form,
        "rules": RULES,
        "active_nav": "rigs",
    }
    return render(request, "rigs/checks/findings.html", context)
