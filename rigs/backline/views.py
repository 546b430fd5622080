"""The backline specification of a show or of a leg."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Leg, Show
from core.places import Panel
from core.views.another import after_saving
from core.views.pages import form_page, posted
from rigs.backline.begin import begin
from rigs.backline.forms import AnswerForm, LineForm
from rigs.backline.lines import (
    Asked,
    as_rows,
    asked_along,
    asked_at,
    changes_of,
    lines_at,
    paper_rows,
    state_of,
    tallies,
)
from rigs.backline.services import check_live, withdraw
from rigs.lists.views import grid_file
from rigs.models import BacklineAnswer, BacklineLine
from rigs.shows.views import find_show

SHOWN_CHANGES = 5


def find_leg(request: ProductionRequest, leg_id: UUID) -> Leg:
    """The leg of this production, or 404."""
    legs = request.production.legs.select_related("production").prefetch_related("shows")
    return get_object_or_404(legs, pk=leg_id)


def _find(request: ProductionRequest, line_id: UUID) -> BacklineLine:
    lines = BacklineLine.objects.select_related("leg", "show__leg")
    line: BacklineLine = get_object_or_404(lines, pk=line_id, leg__production=request.production)
    return line


def _page(request: ProductionRequest, line: BacklineLine) -> str:
    return _address(request, line.leg, line.show)


def _address(request: ProductionRequest, leg: Leg, show: Show | None, page: str = "") -> str:
    """The specification of the show, or of the leg without one; `page` is one below it."""
    if show is not None:
        return within(request, f"rigs:show_backline{page}", show.pk)
    return within(request, f"rigs:leg_backline{page}", leg.pk)


@require_safe
@production_view(Action.READ)
def of_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    return _specification(request, show.leg, show, asked_at(show))


@require_safe
@production_view(Action.READ)
def of_leg(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = find_leg(request, leg_id)
    return _specification(request, leg, None, asked_along(leg))


def _specification(
    request: ProductionRequest, leg: Leg, show: Show | None, asked: list[Asked]
) -> HttpResponse:
    changes = list(changes_of(leg, show)[: SHOWN_CHANGES + 1])
    gone = BacklineLine.objects.filter(leg=leg, show=show).exclude(retired_at=None)
    context = {
        "leg": leg,
        "show": show,
        "asked": asked,
        "open": sum(not each.is_settled for each in asked),
        "is_retired": leg.is_retired or (show is not None and show.is_retired),
        "changes": changes[:SHOWN_CHANGES],
        "more_changes": len(changes) > SHOWN_CHANGES,
        "withdrawn": list(gone),
        "links": {
            name: _address(request, leg, show, f"_{name}") for name in ("new", "begin", "history")
        },
        "active_nav": "tour",
    }
    return render(request, "rigs/backline/specification.html", context)


@require_safe
@production_view(Action.READ)
def history_of_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    return _history(request, show.leg, show)


@require_safe
@production_view(Action.READ)
def history_of_leg(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return _history(request, find_leg(request, leg_id), None)


def _history(request: ProductionRequest, leg: Leg, show: Show | None) -> HttpResponse:
    context = {
        "leg": leg,
        "show": show,
        "changes": changes_of(leg, show),
        "active_nav": "tour",
    }
    return render(request, "rigs/backline/history.html", context)


@require_safe
@production_view(Action.READ)
def file_of_show(request: ProductionRequest, show_id: UUID, format: str) -> HttpResponse:
    show = find_show(request, show_id)
    page = within(request, "rigs:show_backline", show.pk)
    return _file(request, asked_at(show), _("Backline, {show}").format(show=show), format, page)


@require_safe
@production_view(Action.READ)
def file_of_leg(request: ProductionRequest, leg_id: UUID, format: str) -> HttpResponse:
    leg = find_leg(request, leg_id)
    page = within(request, "rigs:leg_backline", leg.pk)
    return _file(request, asked_along(leg), _("Backline, {leg}").format(leg=leg), format, page)


def _file(
    request: ProductionRequest, asked: list[Asked], title: str, format: str, page: str
) -> HttpResponse:
    rows = paper_rows(asked) if format == "pdf" else as_rows(asked)
    return grid_file(request, rows, title, format, state=partial(state_of, asked), page=page)


@require_POST
@production_view(Action.EDIT_TOUR)
def begin_for_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    return _begin(request, show.leg, show)


@require_POST
@production_view(Action.EDIT_TOUR)
def begin_for_leg(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return _begin(request, find_leg(request, leg_id), None)


def _begin(request: ProductionRequest, leg: Leg, show: Show | None) -> HttpResponse:
    try:
        made = begin(request.production, leg, show, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        told = ngettext(
            "{n} line from the rigs that play.", "{n} lines from the rigs that play.", made
        ).format(n=made)
        messages.success(
            request, told if made else _("Everything of the rigs is asked for already.")
        )
    return redirect(_address(request, leg, show))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new_for_show(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    return _edit(request, BacklineLine(leg=show.leg, show=show), _("Ask for something"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new_for_leg(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return _edit(request, BacklineLine(leg=find_leg(request, leg_id)), _("Ask for something"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, line_id: UUID) -> HttpResponse:
    line = _find(request, line_id)
    return _edit(request, line, _("What is asked for: {what}").format(what=line.what))


def _edit(request: ProductionRequest, line: BacklineLine, heading: str) -> HttpResponse:
    back = _page(request, line)
    is_new = line._state.adding
    if refused := _refused(line):
        messages.warning(request, refused)
        return redirect(back)
    form = LineForm(posted(request), instance=line, by=request.user)
    if form.try_save():
        messages.success(request, _("{line}: saved.").format(line=line))
        return redirect(after_saving(request, form, f"{back}#line-{line.pk}"))
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=back,
        active_nav="tour",
        template="rigs/backline/line.html",
        leg=line.leg,
        show=line.show,
        line=None if is_new else line,
        offer_another=is_new,
        later=_("Backline: {what}").format(what=line.what or line.show or line.leg),
    )


def _refused(line: BacklineLine, show: Show | None = None) -> str:
    """Why nothing can be written, asked before anybody types; empty where it can."""
    try:
        check_live(line.leg, show or line.show)
    except ValidationError as refused:
        return " ".join(refused.messages)
    return ""


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, line_id: UUID) -> HttpResponse:
    line, back = _find(request, line_id), "back" in request.POST
    try:
        withdraw(line, by=request.user, back=back)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        told = _("{what} is asked for again.") if back else _("{what} is not asked for any more.")
        messages.success(request, told.format(what=line.what))
    return redirect(_page(request, line))


@require_http_methods(["GET", "POST"])
@production_view(Action.ANSWER_BACKLINE)
def answer(request: ProductionRequest, show_id: UUID, line_id: UUID) -> HttpResponse:
    """What was offered for a line at a show, and what came."""
    show = find_show(request, show_id)
    line: BacklineLine = get_object_or_404(lines_at(show).select_related("leg"), pk=line_id)
    back = within(request, "rigs:show_backline", show.pk)
    if refused := _refused(line, show):
        messages.warning(request, refused)
        return redirect(back)
    stored = BacklineAnswer.objects.filter(line=line, show=show).first()
    # Version 0 stands for “nothing was offered when this page was made”.
    row = stored or BacklineAnswer(line=line, show=show, version=0)
    row.line, row.show = line, show
    form = AnswerForm(posted(request), instance=row, by=request.user)
    if form.try_save():
        messages.success(request, _("{what}: noted for {show}.").format(what=line.what, show=show))
        return redirect(f"{back}#line-{line.pk}")
    return form_page(
        request,
        form,
        heading=_("Offered and came: {what}").format(what=line.what),
        cancel_url=back,
        active_nav="tour",
        template="rigs/backline/answer.html",
        leg=show.leg,
        show=show,
        line=line,
        later=_("What came: {what}, {show}").format(what=line.what, show=show),
    )


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: how much each show asks for. Two queries, however many shows."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    counts = tallies(shows)
    return {
        show: Panel("rigs/backline/_of_show.html", {"lines": lines, "open": still_open})
        for show, (lines, still_open) in counts.items()
    }


def of_leg_page(request: HttpRequest, leg: Leg) -> Panel:
    """For the page of a leg: what all its shows ask for. One query."""
    return Panel("rigs/backline/_of_leg.html", {"lines": len(asked_along(leg))})
