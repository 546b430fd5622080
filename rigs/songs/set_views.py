"""The set of a show on paper."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.sets.order import set_of_show
from rigs.paper.responses import paper_of, pdf
from rigs.shows.views import find_show
from rigs.songs.run_sheet import run_sheet
from rigs.songs.set_paper import desk_page, floor_page


@require_safe
@production_view(Action.READ)
def floor(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    made = floor_page(show, set_of_show(show), paper=paper_of(request))
    return pdf(request, made, _("Set, {show}").format(show=show))


@require_safe
@production_view(Action.READ)
def desk(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    sheet = run_sheet(request.production, show=show)
    made = desk_page(show, sheet, paper=paper_of(request), who=sheet.who)
    return pdf(request, made, _("Set for the desk, {show}").format(show=show))
