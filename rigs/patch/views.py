"""The patch of all shows and of one: to read, to print, to write; its boxes, what is lent."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, gettext_lazy, ngettext
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action, allowed
from core.access.views import ProductionRequest, guest_of, production_view
from core.languages.choice import as_stored
from core.languages.words import leading
from core.models import Leg
from core.places import Panel
from core.views.pages import carried_out, form_page, posted
from rigs.lists.views import grid_file
from rigs.models import LentLine, PatchLine, PatchQuestion
from rigs.paper.pdf import Paper
from rigs.paper.responses import paper_of, pdf
from rigs.patch.forms import FillForm, LineForm, PatchFileForm, StripForm
from rigs.patch.load import changes_of
from rigs.patch.offers import Offered, from_file, from_words
from rigs.patch.paper import state_of_patch, strips_sheet
from rigs.patch.places import PatchPlace, place_of
from rigs.patch.questions import MAY_ANSWER, AnswerForm, answer, questions_of
from rigs.patch.rows import (
    PatchRow,
    by_box,
    by_position,
    findings_of,
    grid,
    patch_and_rows,
    strip_cells,
)
from rigs.patch.services import as_for_all_shows
from rigs.shows.players import who_plays

ORDERS = {
    "box": gettext_lazy("By box"),
    "channel": gettext_lazy("By channel"),
    "position": gettext_lazy("By position"),
}
TITLES = {
    "box": gettext_lazy("Patch by box"),
    "channel": gettext_lazy("Patch by channel"),
    "position": gettext_lazy("Patch by position"),
}
SHOWN_CHANGES = 40


def order_of(request: HttpRequest) -> str:
    asked = request.GET.get("by", "")
    return asked if asked in ORDERS else "box"


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """?by=channel or ?by=position; by box otherwise."""
    return _page(request, place_of(request, show_id))


def _page(request: ProductionRequest, place: PatchPlace, **more: Any) -> HttpResponse:
    who = who_plays(place.show) if place.show else None
    patch, rows = patch_and_rows(request.production, place.show, who)
    order = order_of(request)
    context = {
        **place.context,
        "patch": patch,
        "who": who,
        "rows": rows,
        "order": order,
        "orders": ORDERS,
        "boxes": by_box(patch, rows) if order == "box" else (),
        "without": [row for row in rows if not row.line.passed],
        "positions": by_position(rows) if order == "position" else (),
        "findings": findings_of(patch, rows),
        "strips": StripForm(),
        "may_patch": may_patch(request, place),
        "differing": sum(row.differs for row in rows),
        # A guest reads what was asked by their own link, beside its form.
        "questions": [] if guest_of(request) else questions_of(place.show),
        "may_answer": allowed(request.member.roles, MAY_ANSWER),
        "answer_form": AnswerForm(),
        **more,
    }
    return render(request, "rigs/patch/patch.html", context)


@require_POST
@production_view(MAY_ANSWER)
def answer_guest(
    request: ProductionRequest, show_id: UUID, guest_question_id: UUID
) -> HttpResponse:
    place = place_of(request, show_id)
    question = get_object_or_404(PatchQuestion, pk=guest_question_id, show=place.the_show)
    form = AnswerForm(request.POST)
    if form.is_valid():
        try:
            answer(question, form.cleaned_data["answer"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            told = _("The question of {name} is closed.").format(name=question.asked_name)
            messages.success(request, told)
            return redirect(f"{place.at('patch')}#questions")
    return _page(request, place, answering=form, question_id=question.pk)


def may_patch(request: ProductionRequest, place: PatchPlace) -> bool:
    action = Action.EDIT_RIG if place.show is None else Action.LINE_CHECK
    return allowed(request.member.roles, action) and not place.is_retired


@require_safe
@production_view(Action.READ)
def file(request: ProductionRequest, format: str, show_id: UUID | None = None) -> HttpResponse:
    """csv, xlsx or pdf, in the order that ?by= asks for."""
    place, order = place_of(request, show_id), order_of(request)
    patch, rows = patch_and_rows(request.production, place.show)
    # What the file says, and so its digest, is the same in every language.
    with as_stored():
        cells = grid(patch, rows, order)
    title = str(TITLES[order])
    if place.show:
        title = _("{title}, {show}").format(title=title, show=place.show)
    state = partial(state_of_patch, request.production, place.show, cells)
    if format == "pdf":
        cells = grid(patch, rows, order, gettext)
    return grid_file(request, cells, title, format, state=state, page=place.at("patch"))


@require_safe
@production_view(Action.READ)
def strips(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """?by=box, channel or monitor, ?mm= wide, ?paper=."""
    place = place_of(request, show_id)
    form = StripForm({"by": "box", "mm": "20", "paper": Paper.A4} | request.GET.dict())
    if not form.is_valid():
        told = " ".join(
            leading(form[name].label, " ".join(map(str, e))) for name, e in form.errors.items()
        )
        messages.error(request, told)
        return redirect(place.at("patch"))
    asked = form.cleaned_data
    patch, rows = patch_and_rows(request.production, place.show)
    title = _("Labels of the patch, {place}").format(place=place.show or request.production)
    cells = strip_cells(patch, rows, asked["by"])
    sheet = strips_sheet(title, cells, mm=float(asked["mm"]), paper=paper_of(request))
    return pdf(request, sheet, title)


def _fill(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """?from=words begins with what the words of inputs say."""
    place = place_of(request, show_id)
    patch, rows = patch_and_rows(request.production, place.show)
    offered = None
    if request.method == "GET" and request.GET.get("from") == "words":
        offered = from_words(patch, rows)
    initial = {"lines": "\n".join(offered.lines)} if offered else {}
    form = FillForm(patch, rows, posted(request), initial=initial)
    if (done := form.try_save(request.user)) is not None:
        told = ngettext("{n} line is changed.", "{n} lines are changed.", len(done))
        messages.success(
            request,
            told.format(n=len(done)) if done else _("The lines were like that already."),
        )
        return redirect(place.at("patch"))
    return _fill_page(request, place, form, offered)


def _fill_page(
    request: ProductionRequest, place: PatchPlace, form: FillForm, offered: Offered | None
) -> HttpResponse:
    return form_page(
        request,
        form,
        heading=_("Ways of many inputs"),
        cancel_url=place.at("patch"),
        template="rigs/patch/fill.html",
        fields="core/_lines_and_words.html",
        action=place.at("patch_fill"),
        offered=offered,
        later=_("Patch: ways of many inputs, {show}").format(show=place.show)
        if place.show
        else _("Patch: ways of many inputs"),
        **place.context,
    )


fill = require_http_methods(["GET", "POST"])(production_view(Action.EDIT_RIG)(_fill))
show_fill = require_http_methods(["GET", "POST"])(production_view(Action.LINE_CHECK)(_fill))


def _read_file(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """A file becomes lines, which are looked at before they are saved."""
    place = place_of(request, show_id)
    form = PatchFileForm(posted(request), request.FILES or None)
    if form.is_bound and form.is_valid():
        sent = form.cleaned_data["file"]
        patch, rows = patch_and_rows(request.production, place.show)
        try:
            offered = from_file(sent.name, sent.read(), patch.names, rows)
        except ValueError as error:
            form.add_error("file", str(error))
        else:
            lines = FillForm(patch, rows, initial={"lines": "\n".join(offered.lines)})
            return _fill_page(request, place, lines, offered)
    return form_page(
        request,
        form,
        heading=_("Read a patch list"),
        cancel_url=place.at("patch"),
        template="rigs/patch/form.html",
        submit=_("Read it"),
        **place.context,
    )


read_file = require_http_methods(["GET", "POST"])(production_view(Action.EDIT_RIG)(_read_file))
show_read_file = require_http_methods(["GET", "POST"])(
    production_view(Action.LINE_CHECK)(_read_file)
)


def _line(request: ProductionRequest, input_id: UUID, show_id: UUID | None = None) -> HttpResponse:
    place = place_of(request, show_id)
    patch, rows = patch_and_rows(request.production, place.show)
    row = _row(rows, input_id)
    form = LineForm(patch, row, posted(request), by=request.user)
    if form.try_save():
        messages.success(request, _("“{name}” is patched.").format(name=row.name))
        return redirect(place.at("patch"))
    return form_page(
        request,
        form,
        heading=_("Line of {name}").format(name=row.name),
        cancel_url=place.at("patch"),
        template="rigs/patch/line.html",
        row=row,
        later=_("Patch: {name}").format(name=row.name),
        **place.context,
    )


def _row(rows: list[PatchRow], input_id: UUID) -> PatchRow:
    """The input among those that are used, or 404."""
    found = next((row for row in rows if row.entry_id == input_id), None)
    if found is None:
        raise Http404(_("No such input among those that are used."))
    return found


line = require_http_methods(["GET", "POST"])(production_view(Action.EDIT_RIG)(_line))
show_line = require_http_methods(["GET", "POST"])(production_view(Action.LINE_CHECK)(_line))


@require_POST
@production_view(Action.LINE_CHECK)
def line_as_usual(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    place = place_of(request, show_id)
    _patch, rows = patch_and_rows(request.production, place.show)
    row = _row(rows, input_id)
    act = partial(as_for_all_shows, place.the_show, input_id, name=row.name, by=request.user)
    carried_out(request, act, _("“{name}” is patched as for all shows.").format(name=row.name))
    return redirect(place.at("patch"))


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """Who changed the patch when: of all shows, with what was changed for this one."""
    place = place_of(request, show_id)
    changes = changes_of(request.production, place.show)
    shown = changes.select_related("show__leg")[:SHOWN_CHANGES]
    context = {**place.context, "changes": shown, "most": SHOWN_CHANGES}
    return render(request, "rigs/patch/history.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the patch of each show, how much in it differs, what is lent."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    own: dict[UUID, int] = {show.pk: 0 for show in shows}
    lent: dict[UUID, list[str]] = {show.pk: [] for show in shows}
    for pk in PatchLine.objects.filter(show__in=shows).values_list("show", flat=True):
        own[pk] += 1
    for pk, act in LentLine.objects.filter(show__in=shows).values_list("show", "act"):
        if act not in lent[pk]:
            lent[pk].append(act)
    found: dict[UUID, Panel] = {}
    for show in shows:
        context: dict[str, Any] = {"differing": own[show.pk], "acts": lent[show.pk]}
        found[show.pk] = Panel("rigs/patch/_of_show.html", context)
    return found
