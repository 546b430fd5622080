"""Where a note begins on a page that belongs to no rig: its author chooses one."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Production
from core.offline.queries import same_page_without
from notes.journal.forms import asked
from notes.journal.quick import ABOUT, PASSED_ON
from notes.models import Clip, Note, Trial
from notes.queries import rigs_of
from rigs.models import Input, Rig


@require_safe
@production_view(Action.WRITE_NOTE)
@same_page_without(*ABOUT.values(), *PASSED_ON)
def start(request: ProductionRequest) -> HttpResponse:
    """Go on to the form of the rig that the address leads to, or show the rigs to choose from.

    Their inputs stand there, too: whoever presses one has chosen both in one press.
    """
    more = {name: str(found) for name in PASSED_ON if (found := asked(request, name))}
    query = f"?{urlencode(more)}" if more else ""
    if rig := _rig_of_page(request):
        return redirect(reverse("notes:note_new", args=[request.production.pk, rig]) + query)
    context = {"rigs": _to_choose_from(request.production), "query": query, "active_nav": "notes"}
    return render(request, "notes/journal/note_start.html", context)


def _to_choose_from(production: Production) -> list[tuple[Rig, list[Input]]]:
    of_rig: dict[UUID, list[Input]] = {}
    for entry in Input.objects.filter(rig__production=production, retired=False):
        of_rig.setdefault(entry.rig_id, []).append(entry)
    rigs = rigs_of(production).order_by("player__position", "name", "pk")
    return [(rig, of_rig.get(rig.pk, [])) for rig in rigs]


def _rig_of_page(request: ProductionRequest) -> UUID | None:
    """The rig of the note, the clip or the trial that the address names."""
    models: dict[str, Any] = {"note": Note, "clip": Clip, "trial": Trial}
    for name, model in models.items():
        if found := asked(request, name):
            rows = model._default_manager.filter(pk=found, rig__production=request.production)
            rig: UUID | None = rows.values_list("rig", flat=True).first()
            return rig
    return None
