"""The follow-up: after a change, did it help?"""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import form_page, posted
from notes.changelog.threads import changes_because_of
from notes.forms.notes import FollowUpForm
from notes.forms.prefill import prefill
from notes.models import Note
from notes.reading import notes_of


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def follow(request: ProductionRequest, note: UUID, number: int) -> HttpResponse:
    found = get_object_or_404(notes_of(request.production), pk=note)
    entry = next((e for e in changes_because_of(found) if e.revision.number == number), None)
    if entry is None:
        messages.error(request, f"Change {number} was not made because of this note.")
        return redirect(found)
    blank = Note(production=request.production, rig=entry.revision.rig)
    form = FollowUpForm(
        posted(request),
        instance=blank,
        by=request.user,
        revision=entry.revision,
        initial=_like(found) | prefill(request, blank.rig),
    )
    if form.try_save():
        messages.success(request, "The outcome is written down.")
        return redirect(found)
    return form_page(
        request,
        form,
        heading=f"After change {number}",
        cancel_url=found.get_absolute_url(),
        active_nav="notes",
        template="notes/follow_form.html",
        note=found,
        entry=entry,
        submit="Save the outcome",
        later=f"Outcome of change {number} of {blank.rig}",
    )


def _like(note: Note) -> dict[str, object]:
    """One listens again to what was heard before."""
    return {
        "inputs": [each.pk for each in note.inputs.all()],
        "units": [each.pk for each in note.units.all()],
        "song": note.song_id,
        "section": note.section_id,
    }
