"""The timeline of a production, or of one rig."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlencode
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from core.views.pages import asked_id
from notes.timeline.marks import Span
from notes.timeline.page import timeline
from notes.timeline.queries import leg_span
from notes.timeline.table import Edge
from rigs.editing.pages import find_rig
from rigs.models import Rig


@require_safe
@production_view(Action.READ)
def production(request: ProductionRequest) -> HttpResponse:
    return _page(request, None)


@require_safe
@production_view(Action.READ)
def rig(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    return _page(request, find_rig(request, rig_id))


def _page(request: ProductionRequest, rig: Rig | None) -> HttpResponse:
    leg = _leg(request)
    span = leg_span(leg) if leg else _span(request)
    before = request.GET.get("before")
    drawn = timeline(
        request.production,
        rig,
        span,
        _address,
        Edge.read(before) if before else None,
        # What everybody opens first; of stretches of time there are too many to keep each.
        keep=leg is not None or span is None,
    )
    context = {
        "timeline": drawn,
        "rig": rig,
        "leg": leg,
        "zoomed": span is not None,
        "older_url": _list(request, drawn.older) if drawn.older else "",
        "newer_url": _list(request, None) if before else "",
        "active_nav": "rigs" if rig else "timeline",
    }
    return render(request, "notes/timeline/timeline.html", context)


def _leg(request: ProductionRequest) -> Leg | None:
    leg_id = asked_id(request, "leg")
    return get_object_or_404(Leg, pk=leg_id, production=request.production) if leg_id else None


def _span(request: ProductionRequest) -> Span | None:
    """The span of `?from=` and `?to=`. Both are made by `_address`, so anything else is no page."""
    ends = request.GET.get("from"), request.GET.get("to")
    if not any(ends):
        return None
    try:
        start, end = (datetime.fromisoformat(each or "") for each in ends)
        if start < end:
            return Span(start.astimezone(), end.astimezone())
    except (ValueError, TypeError, OverflowError):
        pass
    raise Http404(_("There is no such stretch of time."))


def _address(span: Span) -> str:
    return "?" + urlencode({"from": span.start.isoformat(), "to": span.end.isoformat()})


def _list(request: ProductionRequest, edge: Edge | None) -> str:
    """The list before an edge; without one from its newest row."""
    query = request.GET.copy()
    query.pop("before", None)
    if edge:
        query["before"] = str(edge)
    return f"?{query.urlencode()}#list"
