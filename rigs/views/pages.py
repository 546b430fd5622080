"""What the pages of rigs have in common."""

from __future__ import annotations

from typing import Any, TypeVar
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from core.access.views import ProductionRequest
from rigs.forms.guarded import GuardedForm
from rigs.models import Part, Rig
from rigs.services.changing import attempt

P = TypeVar("P", bound=Part)


def find_rig(request: ProductionRequest, rig: UUID) -> Rig:
    """The rig of this production, or 404."""
    rigs = Rig.objects.select_related("player", "production")
    found: Rig = get_object_or_404(rigs, pk=rig, production=request.production)
    return found


def find_part(
    request: ProductionRequest, model: type[P], rig: UUID, part: UUID, *along: str
) -> P:  # fmt: skip
    """The part of that rig of this production, retired ones too, or 404. `along` are records that
    are read in the same query."""
    parts = model.objects.select_related("rig__player", "rig__production", *along)
    found: P = get_object_or_404(parts, pk=part, rig=rig, rig__production=request.production)
    return found


def address(rig: Rig, name: str, *parts: Any) -> str:
    """The address of a page below a rig."""
    return reverse(f"rigs:{name}", args=[rig.production_id, rig.pk, *parts])


def change_page(
    request: ProductionRequest, form: GuardedForm, *, heading: str, done_url: str, said: str,
    template: str = "rigs/change.html", **more: Any,
) -> HttpResponse:  # fmt: skip
    """One form that changes a rig. `said` tells what was done; `more` is for the template."""
    outcome = attempt(form, author=request.user)
    if outcome.done:
        if outcome.revision is None:
            messages.info(request, "Nothing was different, so nothing was written.")
        else:
            messages.success(request, said)
        return redirect(more.get("next_url") or done_url)
    context = {
        "form": outcome.form, "rig": form.rig, "heading": heading, "cancel_url": done_url,
        "active_nav": "rigs",
    }  # fmt: skip
    return render(request, template, context | more, status=outcome.status)


def retired_page(request: ProductionRequest, part: Part, back_to: str) -> HttpResponse:
    """For who wants to work on what was put away."""
    messages.warning(request, f"“{part}” is retired. Bring it back before changing it.")
    return redirect(back_to)
