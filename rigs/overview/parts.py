"""The parts of a rig's page that stand below what is read first: each has an address of its own.

The page has a link in the place of each; core/js/parts.js puts the part there as it is reached.
"""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.hooks import Hook
from core.places import Panel
from core.routes import address_of
from rigs.editing.pages import find_rig
from rigs.models import Rig
from rigs.places import RIG_OPEN, RIG_WHY

# By their anchors, in the order of the page; findings are known here.
PARTS: dict[str, Hook[[HttpRequest, Rig], Panel] | None] = {
    "findings": None,
    "why": RIG_WHY,
    "open": RIG_OPEN,
}


def _view_of(part: str) -> Callable[..., HttpResponseBase]:
    hook = PARTS[part]

    @require_safe
    @production_view(Action.READ)
    def view(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
        rig = find_rig(request, rig_id)
        panels = hook.call(request, rig) if hook else []
        context = {"rig": rig, "part": part, "panels": panels, "active_nav": "rigs"}
        return render(request, "rigs/overview/part.html", context)

    return view


findings, why, still_open = (_view_of(part) for part in PARTS)


def addresses(production: UUID, rig: UUID) -> dict[str, str]:
    """Of the parts of a rig by their anchors, in the order of its page; of those that somebody
    fills."""
    filled = [part for part, hook in PARTS.items() if hook is None or hook.providers]
    return {part: address_of(f"rigs:rig_{part}", production, rig) for part in filled}
