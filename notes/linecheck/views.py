"""The line check of a show: the inputs in order, one of them, its end, and the show's report."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.badges import LOOKS
from core.models import Leg, Show, User
from core.numbers import whole_number
from core.places import Panel
from core.views.pages import form_page, posted
from notes.linecheck.forms import DeviationForm, FinishForm, PermanentForm
from notes.linecheck.paper import report_pdf
from notes.linecheck.permanent import NO_SUBSTITUTE, doubtful, make_permanent, what_changes
from notes.linecheck.report import lines_of, next_anchor, report, tallies, with_next
from notes.linecheck.services import MarkedMeanwhile, mark, reopen, signed_by_player
from notes.linecheck.words import words_of
from notes.models import LineCheck, LineCheckMark
from rigs.changes.reasons import LABELS, ReasonKind
from rigs.knob_check.confirming import marks_at
from rigs.models import Input
from rigs.paper.responses import paper_of, pdf
from rigs.revisions.record import Conflict
from rigs.shows.players import who_plays
from rigs.shows.services import row_of, stand_ins
from rigs.shows.views import find_input, find_show
from rigs.tonight.at_show import in_lines, units_at


@require_safe
@production_view(Action.READ)
def line_check(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    return _list(request, find_show(request, show_id))


@require_POST
@production_view(Action.LINE_CHECK)
def mark_input(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    """Take one press: `state`, and `seen`, the version of the mark that the page showed."""
    show, entry = find_show(request, show_id), find_input(request, input_id)
    state, seen = request.POST.get("state", ""), request.POST.get("seen", "")
    version = whole_number(seen)
    if state not in LineCheckMark.State or (seen and version is None):
        raise BadRequest(_("There is no such mark."))
    try:
        mark(show, entry, state=state, by=request.user, seen=version)
    except MarkedMeanwhile as meanwhile:
        return _list(request, show, " ".join(meanwhile.messages), clash=(meanwhile.mark, state))
    except ValidationError as refused:
        return _list(request, show, " ".join(refused.messages))
    return redirect(_next(request, show, input_id))


def _list(
    request: ProductionRequest,
    show: Show,
    refused: str = "",
    clash: tuple[LineCheckMark, str] | None = None,
) -> HttpResponse:
    """The list. What was refused has a status of its own, so that what waited for a network is not
    taken for done. `clash` is somebody else's mark, and the state that was pressed."""
    who, gear = who_plays(show), units_at(show)
    plain = lines_of(show, who, in_lines(gear))
    told = words_of(show, [line.day.entry for line in plain], who)
    lines = [line._replace(told=told.of(line.day.entry)) for line in plain]
    context = {
        "show": show,
        "lines": lines,
        "turns": with_next(lines),
        "active_nav": "tour",
        "refused": refused,
        "clash": clash,
        "who": who,
        "gear_tonight": gear,
        "check": LineCheck.objects.select_related("closed_by").filter(show=show).first(),
        "marked": sum(line.mark is not None for line in lines),
        "states": [(state, LOOKS[state]) for state in LineCheckMark.State.values],
        "panel_marks": marks_at(show),
        "lent": told.lent,
    }
    status = 409 if refused else 200
    return render(request, "notes/linecheck/line_check.html", context, status=status)


def _next(request: ProductionRequest, show: Show, after_id: UUID) -> str:
    anchor = next_anchor(lines_of(show), after_id)
    return f"{within(request, 'notes:line_check', show.pk)}#{anchor}"


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def line_check_input(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    show, entry = find_show(request, show_id), find_input(request, input_id)
    there = LineCheckMark.objects.filter(line_check__show=show, input=entry).first()
    day = row_of(show, entry)
    form = DeviationForm(posted(request), show=show, day=day, mark=there)
    status = 200
    try:
        if form.is_bound and form.try_mark(request.user):
            if form.set_for_it:
                said = _("Set at {input} for the substitute: {settings}.")
                messages.info(request, said.format(input=entry, settings=form.set_for_it))
            return redirect(_next(request, show, input_id))
    except MarkedMeanwhile:
        status = 409
    response = form_page(
        request,
        form,
        heading=_("What is different at {entry}?").format(entry=entry),
        active_nav="tour",
        cancel_url=within(request, "notes:line_check", show.pk) + f"#input-{entry.pk}",
        template="notes/linecheck/input.html",
        show=show,
        entry=entry,
        day=day,
        who=who_plays(show),
        stand_ins=stand_ins(day, show.leg.production),
        departs_from=signed_by_player(entry.rig),
        later=_("Line check: {entry}").format(entry=entry),
        mark=there,
    )
    response.status_code = status
    return response


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def finish(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Who was told and what to repair. Afterwards the words may still be put right."""
    show = find_show(request, show_id)
    back = within(request, "notes:line_check", show.pk)
    check = LineCheck.objects.filter(show=show).first()
    if check is None and request.method == "POST":
        messages.error(request, _("Nothing is marked yet, so there is nothing to finish."))
        return redirect(back)
    # Before the first mark it is shown, too: a device keeps it for when there is no network.
    check = check or LineCheck(show=show)
    form = FinishForm(posted(request), instance=check, by=request.user)
    try:
        if form.try_save():
            messages.success(
                request, _("The line check is finished. This is the report of the show.")
            )
            return redirect(within(request, "notes:show_report", show.pk))
    except ValidationError as refused:
        form.add_error(None, ValidationError(refused.messages))
    return form_page(
        request,
        form,
        heading=_("Finish the line check"),
        cancel_url=back,
        active_nav="tour",
        template="notes/linecheck/finish.html",
        show=show,
        later=_("End of the line check, {show}").format(show=show),
    )


@require_POST
@production_view(Action.LINE_CHECK)
def reopen_check(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    reopen(show)
    messages.success(request, _("The line check is open again."))
    return redirect(within(request, "notes:line_check", show.pk))


@require_safe
@production_view(Action.READ)
def show_report(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    made = report(show)
    context = {
        "show": show,
        "report": made,
        "who": made.who,
        "panel_marks": marks_at(show),
        "active_nav": "tour",
    }
    return render(request, "notes/linecheck/report.html", context)


@require_safe
@production_view(Action.READ)
def show_report_pdf(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """A4, or Letter by ?paper=us-letter."""
    show = find_show(request, show_id)
    address = request.build_absolute_uri(within(request, "notes:show_report", show.pk))
    sheet = report_pdf(
        show,
        report(show),
        address=address,
        paper=paper_of(request),
        panel_marks=marks_at(show),
    )
    return pdf(request, sheet, _("Report {show}").format(show=show))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def permanent(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    """Show what would change, then change it, with the circumstance of the show as the reason."""
    show, entry = find_show(request, show_id), find_input(request, input_id)
    day = row_of(show, entry)
    back = within(request, "notes:show_report", show.pk)
    if day.difference is None or not what_changes(day):
        messages.error(request, NO_SUBSTITUTE)
        return redirect(back)
    form = PermanentForm(
        posted(request),
        initial={"base": entry.rig.head_number, "words": day.difference.words},
        swaps=doubtful(day),
    )
    more: dict[str, Any] = {}
    if form.is_bound and form.is_valid():
        done, meanwhile = _try_permanent(form, show, entry, request.user)
        if done:
            messages.success(
                request, _("“{entry}” is changed for good, with its reason.").format(entry=entry)
            )
            return redirect(back)
        more = {"meanwhile": True} if meanwhile else {}
    response = form_page(
        request,
        form,
        heading=_("Make permanent: {entry}").format(entry=entry),
        cancel_url=back,
        active_nav="tour",
        template="notes/linecheck/permanent.html",
        show=show,
        entry=entry,
        day=day,
        cells=what_changes(day),
        kind=_(LABELS[ReasonKind(day.difference.why)]),
        departs_from=signed_by_player(entry.rig),
        submit=_("Change the rig"),
        **more,
    )
    if more:
        response.status_code = 409
    return response


def _try_permanent(form: PermanentForm, show: Show, entry: Input, by: User) -> tuple[bool, bool]:
    """Whether the rig was changed, and whether somebody else changed the same thing meanwhile.

    What was refused is among the errors of the form.
    """
    cleaned, decided = form.cleaned_data, form.decided_on(entry.pk)
    try:
        make_permanent(
            show, entry, by=by, base=cleaned["base"], words=cleaned["words"], decided=decided
        )
    except Conflict as conflict:
        # What was typed is to be decided on anew, on the rig as it is now.
        form.decide_on(conflict.rig.head_number)
        return False, True
    except ValidationError as refused:
        form.add_error(None, ValidationError(refused.messages))
        return False, False
    return True, False


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: how far the line check of each show is, and its report."""
    return {
        row.show.pk: Panel("notes/linecheck/_of_show.html", {"row": row}) for row in tallies(leg)
    }
