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
        "page": found,
        "entries": entries(found.rows),
        "active_nav": "changes",
    }
    return render(request, "notes/changes.html", context)
