"""The change log of a production."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from notes.changelog.entries import entries, with_threads
from notes.changelog.log import revisions_of
from notes.forms.filters import ChangeFilters
from notes.paging import page


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    filters = ChangeFilters(request.GET, production=request.production)
    found = page(
        with_threads(revisions_of(request.production, **filters.chosen())), request.GET, by="pk"
    )
    context = {
        "filters": filters,
        "switch_url": _switch(request),
        "page": found,
        "entries": entries(found.rows),
        "active_nav": "changes",
    }
    return render(request, "notes/changes.html", context)


def _switch(request: ProductionRequest) -> str:
    """The same list with every change in it, or without what hardly matters."""
    query = request.GET.copy()
    for name in ("before", "after"):
        query.pop(name, None)
    if not query.pop("everything", None):
        query["everything"] = "on"
    return f"?{query.urlencode()}"
