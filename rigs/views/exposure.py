"""What a rehearsal day does to the ears, by two published rules."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.forms.exposure import DayForm
from rigs.whatif.exposure import CAUTION, answer


@require_safe
@production_view(Action.READ)
def exposure(request: ProductionRequest) -> HttpResponse:
    """Levels and hours stand in the address; nothing is written."""
    form = DayForm(request.GET if "ask" in request.GET else None)
    told = answer(form.stretches()) if form.is_valid() else None
    context = {"form": form, "answer": told, "caution": CAUTION, "active_nav": "tour"}
    return render(request, "rigs/exposure.html", context)
