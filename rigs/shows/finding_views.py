"""What the rules find on the stage of one show, and the words that accept it."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Show
from core.views.pages import posted
from rigs.cautions import MAINS
from rigs.checks.acceptance import acknowledge_at, findings_with_words_at
from rigs.checks.forms import AcceptForm
from rigs.checks.panels import shown
from rigs.checks.registry import STAGE_RULES
from rigs.checks.run import stage_findings
from rigs.checks.views import write_words
from rigs.shows.stage import stage_of
from rigs.shows.views import find_show


@require_safe
@production_view(Action.READ)
def findings(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    return _page(request, find_show(request, show_id))


@require_POST
@production_view(Action.EDIT_RIG)
def accept(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show, form = find_show(request, show_id), AcceptForm(posted(request))
    write = partial(acknowledge_at, show=show, found=lambda: stage_findings(stage_of(show)))
    if not write_words(request, form, write):
        return _page(request, show, form)
    return redirect("rigs:show_findings", request.production.pk, show.pk)


def _page(request: ProductionRequest, show: Show, form: AcceptForm | None = None) -> HttpResponse:
    stage = stage_of(show)
    context = {
        "show": show,
        "shown": shown(findings_with_words_at(show, stage_findings(stage)), form),
        "form": form,
        "rules": STAGE_RULES,
        "caution": MAINS if stage.units else None,
        "active_nav": "tour",
    }
    return render(request, "rigs/shows/findings.html", context)
