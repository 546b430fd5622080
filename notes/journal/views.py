"""Listening notes: the list, one note with what came of it, writing, rewording, settling."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.kept.shelf import Shelf
from core.offline.once import before_transaction
from core.offline.queries import same_page_without
from core.views.another import after_saving
from core.views.pages import form_page, posted
from notes.filters import NoteFilters
from notes.journal.forms import NoteForm, SettleForm, WriteOutForm, prefill, show_of
from notes.journal.log import thread_of
from notes.journal.services import (
    NotEditable,
    changes_unseen,
    check_editable,
    check_may_write_out,
)
from notes.memos.forms import prepare_files
from notes.models import OF_LINE_CHECKS, EarlierWords, NamedCause, Note
from notes.paging import page
from notes.photos.services import photos_of
from notes.queries import clips_of, notes_of, rigs_of, sessions_of, trials_of
from rigs.models import Rig

CLIPS = 20  # of one note


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    filters = NoteFilters(request.GET, production=request.production)
    shelf = Shelf(request.production.pk, without=OF_LINE_CHECKS)
    query = request.GET.copy()
    for name in [name for name, value in query.items() if not value]:
        del query[name]  # a form sends all its fields, also those that ask for nothing
    told = partial(_told, filters, query)
    with shelf.together():
        filters.take_from(shelf, filters.KEPT)
        # What most open: all of them, or those of one state, from the newest on.
        if query.keys() <= {"state"} and not filters.errors:
            listed = shelf.get("notes", [query.urlencode(), get_language()], told)
        else:
            listed = told()
    context = {
        "filters": filters,
        "page": listed,
        "sessions": sessions_of(request.production)[:6],
        "rigs": rigs_of(request.production),
        "active_nav": "notes",
    }
    return render(request, "notes/journal/index.html", context)


def _told(filters: NoteFilters, query: QueryDict) -> dict[str, str]:
    """A page of notes as everybody reads it, and where the pages beside it are."""
    rows = page(filters.narrow(notes_of(filters.production)), query, by="written_at")
    context = {"notes": rows.rows, "production": filters.production}
    return {
        "html": render_to_string("notes/journal/_notes.html", context) if rows.rows else "",
        "newer_url": rows.newer_url,
        "older_url": rows.older_url,
    }


@require_safe
@production_view(Action.READ)
def note(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    context = {
        "note": note,
        "thread": thread_of(note),
        "unseen": changes_unseen(note),
        "trials": trials_of(request.production).filter(because_of=note),
        "photos": photos_of(note, request.user, request.member.roles),
        "clips": clips_of(request.production).live().filter(note=note)[:CLIPS],
        # These only hide buttons; services.check_editable and check_may_write_out decide.
        "may_reword": note.written_by_id == request.user.pk and note.led_to_revision is None,  # type: ignore[attr-defined]
        "earlier_words": EarlierWords.objects.filter(note=note).select_related("changed_by"),
        "named_cause": NamedCause.objects.filter(note=note).select_related("clip").first(),
        "may_write_out": note.written_by_id == request.user.pk
        and hasattr(note, "memo")
        and not note.words,
        "active_nav": "notes",
    }
    return render(request, "notes/journal/note.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
@before_transaction(prepare_files)
@same_page_without("input", "unit", "session", "song", "show")  # picked by core/js/prefill.js, too
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    about = get_object_or_404(Rig, pk=rig_id, production=request.production)
    blank = Note(production=request.production, rig=about)
    form = NoteForm(
        posted(request),
        request.FILES or None,
        instance=blank,
        by=request.user,
        initial=prefill(request, about),
        show=show_of(request),
    )
    if form.try_save():
        messages.success(request, _("The note is written down."))
        return redirect(after_saving(request, form, form.instance.get_absolute_url()))
    back = reverse("rigs:rig", args=[request.production.pk, about.pk])
    heading, later = (
        _("What was heard: {about}").format(about=about),
        _("Note about {about}").format(about=about),
    )
    return _form_page(request, form, heading, back, later=later, offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def edit(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    form = NoteForm(posted(request), instance=note, by=request.user)
    # Told before anything is typed; a form that was sent comes back with its words and the reason.
    if request.method == "GET":
        try:
            check_editable(note, request.user)
        except NotEditable as refused:
            messages.error(request, refused.message)
            return redirect(note)
    elif form.try_save():
        messages.success(request, _("The note is saved."))
        return redirect(note)
    later = _("Rewording of a note about {rig}").format(rig=note.rig)
    return _form_page(request, form, _("Reword this note"), note.get_absolute_url(), later=later)


def _form_page(
    request: ProductionRequest,
    form: NoteForm,
    heading: str,
    back: str,
    *,
    later: str,
    offer_another: bool = False,
) -> HttpResponse:
    more: dict[str, Any] = {
        "template": "notes/journal/note_form.html",
        "submit": _("Save the note"),
        "later": later,
        "offer_another": offer_another,
    }
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="notes", **more)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def settle(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    note = _note(request, note_id)
    form = SettleForm(posted(request))
    if request.method == "POST" and form.try_settle(note, request.user):
        messages.success(request, _("The note is settled."))
        return redirect(note)
    return form_page(
        request,
        form,
        heading=_("Settle without a change"),
        active_nav="notes",
        note=note,
        cancel_url=note.get_absolute_url(),
        template="notes/journal/about_note_form.html",
        submit=_("Settle it"),
        later=_("Settling a note about {rig}").format(rig=note.rig),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def write_out(request: ProductionRequest, note_id: UUID) -> HttpResponse:
    """The page on which the author of a voice memo puts it into words."""
    note = _note(request, note_id)
    form = WriteOutForm(posted(request))
    if request.method == "GET":
        try:
            check_may_write_out(note, request.user)
        except NotEditable as refused:
            messages.error(request, refused.message)
            return redirect(note)
    elif form.try_write_out(note, request.user):
        messages.success(request, _("The memo is written out."))
        return redirect(note)
    return form_page(
        request,
        form,
        heading=_("Write out the memo"),
        active_nav="notes",
        note=note,
        cancel_url=note.get_absolute_url(),
        template="notes/journal/about_note_form.html",
        submit=_("Save the words"),
        later=_("Words of a voice memo about {rig}").format(rig=note.rig),
    )


def _note(request: ProductionRequest, note_id: UUID) -> Note:
    return get_object_or_404(notes_of(request.production), pk=note_id)
