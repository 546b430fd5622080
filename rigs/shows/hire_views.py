"""What is hired locally at a show, and its pack list."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.views.another import after_saving
from core.views.pages import form_page, posted
from rigs.lists import pack_of_show as day_pack
from rigs.lists.paper import day_pack_sheet
from rigs.lists.views import grid_file, variants_asked
from rigs.models import ShowHire
from rigs.paper.responses import paper_of, pdf
from rigs.shows.forms import HireForm
from rigs.shows.players import state_of_show, who_plays
from rigs.shows.services import RETIRED_SHOW, pack_of_show
from rigs.shows.views import find_show


@require_safe
@production_view(Action.READ)
def pack(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    who = who_plays(show)
    sections = pack_of_show(show, variants_asked(request), who)
    context = {
        "show": show,
        "sections": sections,
        "active_nav": "tour",
        "who": who,
        "state": state_of_show(show, variants_asked(request), who),
        "is_empty": not any(section.lines for section in sections),
        "hired": sum(line.hired for section in sections for line in section.lines),
    }
    return render(request, "rigs/shows/pack.html", context)


@require_safe
@production_view(Action.READ)
def pack_file(request: ProductionRequest, show_id: UUID, format: str) -> HttpResponse:
    show = find_show(request, show_id)
    asked = variants_asked(request)
    who = who_plays(show)
    sections, title = pack_of_show(show, asked, who), _("Pack list, {show}").format(show=show)
    state, page = (
        partial(state_of_show, show, asked, who),
        within(request, "rigs:show_pack", show.pk),
    )
    if format == "pdf":
        sheet = day_pack_sheet(
            sections,
            title,
            request.production,
            paper=paper_of(request),
            state=state(),
            address=request.build_absolute_uri(page),
            captions=who.sentences,
        )
        return pdf(request, sheet, title)
    return grid_file(request, day_pack.as_rows(sections), title, format, state=state, page=page)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """?section= and ?what= name the line of the pack list it is about."""
    show = find_show(request, show_id)
    hire = ShowHire(
        show=show,
        section=request.GET.get("section", "")[:8],
        what=request.GET.get("what", "")[:200],
    )
    return _edit(request, hire, _("What is hired"), offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, show_id: UUID, hire_id: UUID) -> HttpResponse:
    show = get_object_or_404(ShowHire, pk=hire_id, show=find_show(request, show_id))
    return _edit(request, show, _("About the hire of {what}").format(what=show.what))


@require_POST
@production_view(Action.EDIT_TOUR)
def remove(request: ProductionRequest, show_id: UUID, hire_id: UUID) -> HttpResponse:
    show = get_object_or_404(ShowHire, pk=hire_id, show=find_show(request, show_id))
    show.delete()
    messages.success(request, _("“{what}” is not hired any more.").format(what=show.what))
    return redirect(within(request, "rigs:show_pack", show_id))


def _edit(
    request: ProductionRequest, hire: ShowHire, heading: str, *, offer_another: bool = False
) -> HttpResponse:
    back = within(request, "rigs:show_pack", hire.show.pk)
    # Asked before the form, since the page would open on a show that takes no changes.
    if hire.show.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(back)
    form = HireForm(posted(request), instance=hire, by=request.user)
    if form.try_save():
        messages.success(request, _("{hire}: hired for {show}.").format(hire=hire, show=hire.show))
        return redirect(after_saving(request, form, back))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=back,
        active_nav="tour",
        template="rigs/shows/hire.html",
        show=hire.show,
        hire=hire,
        is_on_file=not hire._state.adding,
        offer_another=offer_another,
    )
