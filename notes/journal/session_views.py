"""Listening sessions: rehearsals, playbacks, soundchecks."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core import clock
from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from notes.journal.forms import SessionForm
from notes.models import ListeningSession
from notes.paging import page
from notes.queries import notes_of, rigs_of, sessions_of
from notes.takes.queries import recordings_of


@require_safe
@production_view(Action.READ)
def session(request: ProductionRequest, session_id: UUID) -> HttpResponse:
    session = _session(request, session_id)
    notes = notes_of(request.production).filter(session=session)
    context = {
        "session": session,
        "page": page(notes, request.GET, by="written_at"),
        "rigs": rigs_of(request.production),
        "recordings": recordings_of(request.production).filter(session=session),
        "active_nav": "notes",
    }
    return render(request, "notes/journal/session.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def new(request: ProductionRequest) -> HttpResponse:
    blank = ListeningSession(production=request.production, held_on=timezone.localdate(clock.now()))
    back = reverse("notes:index", args=[request.production.pk])
    return _edit(request, blank, _("A listening session"), back)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def edit(request: ProductionRequest, session_id: UUID) -> HttpResponse:
    session = _session(request, session_id)
    back = reverse("notes:session", args=[request.production.pk, session.pk])
    return _edit(request, session, _("About this session"), back)


def _edit(
    request: ProductionRequest, session: ListeningSession, heading: str, back: str
) -> HttpResponse:
    form = SessionForm(posted(request), instance=session)
    if form.try_save():
        messages.success(request, _("“{session}” is saved.").format(session=session))
        return redirect("notes:session", request.production.pk, session.pk)
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="notes")


def _session(request: ProductionRequest, session_id: UUID) -> ListeningSession:
    return get_object_or_404(sessions_of(request.production), pk=session_id)
