"""The follow-up: after a change, did it help?

The change log of a production.

Change something because of a note: pick what, then change it in the rig's own form.
"""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.db.models import Prefetch
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.context import May
from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.composed import Composed, Several, column
from core.kept.shelf import Shelf
from core.models import Production
from core.offline.once import before_transaction
from core.views.pages import form_page, posted
from notes.filters import ChangeFilters
from notes.journal.because_forms import BecauseControlForm, BecauseForm, BecauseInputForm
from notes.journal.forms import FollowUpForm, prefill
from notes.journal.log import changes_because_of, entries, revisions_of, with_threads
from notes.memos.forms import prepare_files
from notes.models import OF_LINE_CHECKS, Note
from notes.paging import page
from notes.queries import inputs_of, notes_of, units_of
from rigs.checks.proposals import fill_in, find_proposal, open_proposals
from rigs.editing.pages import retired_page
from rigs.editing.submit import attempt
from rigs.models import Control, Input, Revision


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
@before_transaction(prepare_files)
def follow(request: ProductionRequest, note_id: UUID, number: int) -> HttpResponse:
    note = get_object_or_404(notes_of(request.production), pk=note_id)
    entry = next((e for e in changes_because_of(note) if e.revision.number == number), None)
    if entry is None:
        messages.error(
            request, _("Change {number} was not made because of this note.").format(number=number)
        )
        return redirect(note)
    blank = Note(production=request.production, rig=entry.revision.rig)
    form = FollowUpForm(
        posted(request),
        request.FILES or None,
        instance=blank,
        by=request.user,
        revision=entry.revision,
        # What the address says goes before what the earlier note was about.
        initial=_like(note) | prefill(request, blank.rig),
    )
    if form.try_save():
        messages.success(request, _("The outcome is written down."))
        return redirect(note)
    return form_page(
        request,
        form,
        heading=_("After change {number}").format(number=number),
        cancel_url=note.get_absolute_url(),
        active_nav="notes",
        template="notes/journal/follow_form.html",
        note=note,
        entry=entry,
        submit=_("Save the outcome"),
        later=_("Outcome of change {number} of {rig}").format(number=number, rig=blank.rig),
    )


def _like(note: Note) -> dict[str, object]:
    """Initial values of a follow-up, which is about what the earlier note was about."""
    return {
        "inputs": [each.pk for each in note.inputs.all()],
        "units": [each.pk for each in note.units.all()],
        "song": note.song_id,
        "section": note.section_id,
    }


CHANGES_A_PAGE = 8  # each with its notes and what came of it: about half a screen of a phone


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    shelf = Shelf(request.production.pk, without=OF_LINE_CHECKS)
    filters = ChangeFilters(request.GET, production=request.production)
    may = May(request.member.roles)
    with shelf.together():
        filters.take_from(shelf, filters.KEPT)
        make = partial(_told, request.production, filters.chosen(), request.GET, may)
        asked = request.GET.urlencode()
        # What everybody opens first is looked for among all changes, and told, until there is
        # another.
        if asked in ("", "everything=on"):
            told = shelf.get("changes", [asked, get_language(), may["write_note"]], make)
        else:
            told = make()
    context = {
        "filters": filters,
        "switch_url": _switch(request),
        "page": told,
        "active_nav": "changes",
    }
    return render(request, "notes/journal/changes.html", context)


def _told(
    production: Production, chosen: dict[str, Any], query: QueryDict, may: May
) -> dict[str, Any]:
    """A page of changes as all read it who may write notes, or who may not, and where the pages
    beside it are."""
    rows = _found(production, chosen, query)
    by_key = {each.pk: each for each in _shown(production.pk, rows["keys"])}
    told = entries(by_key[key] for key in rows["keys"])
    context = {"entries": told, "production": production, "may": may}
    return rows | {"html": render_to_string("notes/journal/_changes.html", context)}


_shown = Composed(
    lambda production, keys: with_threads(
        Revision.objects.filter(rig__production=production, pk__among=keys)
    ),
    column(Production),
    Several(column(Revision)),
)


def _found(production: Production, chosen: dict[str, Any], query: QueryDict) -> dict[str, Any]:
    """The keys of a page of changes, and where the pages beside it are."""
    revisions = page(
        revisions_of(production, **chosen),
        query,
        by="at",  # by key alone a database goes through the changes of all productions
        size=CHANGES_A_PAGE,
    )
    return {
        "keys": [each.pk for each in revisions.rows],
        "newer_url": revisions.newer_url,
        "older_url": revisions.older_url,
    }


def _switch(request: ProductionRequest) -> str:
    """The address of the same list with every change in it, or without what hardly matters."""
    query = request.GET.copy()
    # The other list begins at its newest change: a place in this one says nothing there.
    for name in ("before", "after"):
        query.pop(name, None)
    # The parameter present means that the full list is shown now, so the other one is offered.
    if not query.pop("everything", None):
        query["everything"] = "on"
    return f"?{query.urlencode()}"


UNCHANGED = gettext_lazy("Nothing is changed yet: it is like that already.")


@require_safe
@production_view(Action.EDIT_RIG)
def pick(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    controls = Control.objects.filter(retired=False)
    context = {
        "note": note,
        "heard_inputs": list(note.inputs.all()),
        "heard_units": list(note.units.all()),
        "inputs": inputs_of(note.rig),
        "units": units_of(note.rig).prefetch_related(
            Prefetch("controls", controls, to_attr="live_controls")
        ),
        # What the page that led here knows goes on to the form.
        "given": f"?{request.GET.urlencode()}" if request.GET else "",
        "active_nav": "notes",
    }
    return render(request, "notes/journal/pick.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def input(request: ProductionRequest, note_id: UUID, input_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    part = get_object_or_404(Input, pk=input_id, rig=note.rig)
    # Only a GET is turned away: what was typed comes back in the form, with what became of the
    # part.
    if part.retired and request.method == "GET":
        return retired_page(request, part, note.get_absolute_url())
    form = BecauseInputForm(note.rig, part, posted(request), note=note)
    _fill_in_reason(request, form)
    return _change(request, form, **_proposed(request, form, part))


def _proposed(request: ProductionRequest, form: BecauseInputForm, part: Input) -> dict[str, object]:
    """What findings propose for `part`; the one whose signature is in `?finding=` is put in."""
    # A form that comes back shows what was typed, which no proposal may replace.
    if request.method != "GET":
        return {}
    proposals = open_proposals(form.rig, str(part.pk))
    chosen = find_proposal(proposals, request.GET.get("finding", ""))
    if chosen is None:
        return {"proposals": proposals}
    fill_in(form, chosen)
    return {"proposal": chosen, "lines": chosen.lines(part.fields())}


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def control(request: ProductionRequest, note_id: UUID, control_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    part = get_object_or_404(Control.objects.select_related("unit"), pk=control_id, rig=note.rig)
    if part.retired and request.method == "GET":
        return retired_page(request, part, note.get_absolute_url())
    form = BecauseControlForm(note.rig, part, posted(request), note=note)
    _fill_in_reason(request, form)
    return _change(request, form)


def _fill_in_reason(request: ProductionRequest, form: BecauseForm) -> None:
    """What the page that led here knows by now: why, and a clip of before."""
    for name, field in (("why", "reason_words"), ("before", "heard_before")):
        if request.GET.get(name):
            form.initial[field] = request.GET[name]


def _change(request: ProductionRequest, form: BecauseForm, **more: object) -> HttpResponse:
    # Both or neither: where a clip cannot be tied, the rig is not changed.
    with transaction.atomic():
        outcome = attempt(form, author=request.user)
        if outcome.revision is not None:
            form.tie_clips(outcome.revision, request.user)
    if outcome.revision is not None:
        messages.success(
            request,
            _("Change {number} is made. Listen again and say how it turned out.").format(
                number=outcome.revision.number
            ),
        )
        return redirect(form.note)
    if outcome.done:
        form.add_error(None, UNCHANGED)
    context: dict[str, object] = {
        "form": outcome.form,
        "note": form.note,
        "part": form.row,
        "active_nav": "notes",
    }
    return render(request, "notes/journal/because.html", context | more, status=outcome.status)


def _note(request: ProductionRequest, note_id: UUID) -> Note:
    return get_object_or_404(notes_of(request.production), pk=note_id)
