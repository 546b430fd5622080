"""What the rules find on the stage of one show."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.cautions import MAINS
from rigs.checks.acceptance import FindingWithWords
from rigs.checks.panels import shown
from rigs.checks.registry import STAGE_RULES
from rigs.checks.run import stage_findings
from rigs.shows.stage import stage_of
from rigs.shows.views import find_show


@require_safe
@production_view(Action.READ)
def findings(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    stage = stage_of(show)
    context = {
        "show": show,
        "shown": shown(FindingWithWords(each) for each in stage_findings(stage)),
        "rules": STAGE_RULES,
        "caution": MAINS if stage.units else None,
        "active_nav": "tour",
    }
    return render(request, "rigs/shows/findings.html", context)
