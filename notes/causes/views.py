"""A clip against the signed sound: what differs, what it may be, and writing it down."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.stored_files import StoredFileUnreadable
from notes.causes import picture, words
from notes.causes.rank import Cause
from notes.causes.signed import NoSignedSound, Tonight, against_signed
from notes.comparing.evidence import compare_url
from notes.journal.services import NoteContent, write_note
from notes.models import Clip, Note
from notes.queries import clips_of

SHOWN = 5  # causes; the others have hardly anything of the evidence


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.WRITE_NOTE)
def clip_changed(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    """GET shows; a POST with `cause` writes that one down as a note, to be tried or changed."""
    clip: Clip = get_object_or_404(clips_of(request.production), pk=clip_id)
    context: dict[str, Any] = {"clip": clip, "active_nav": "clips"}
    try:
        tonight = against_signed(clip)
    except (NoSignedSound, StoredFileUnreadable) as refusal:
        return render(request, "notes/causes/changed.html", context | {"refused": str(refusal)})
    if request.method == "POST":
        return _written_down(request, tonight)
    return render(request, "notes/causes/changed.html", context | _shown(tonight))


def _written_down(request: ProductionRequest, tonight: Tonight) -> HttpResponse:
    asked = request.POST.get("cause", "")
    cause = next((each for each in tonight.ranking.causes if each.key == asked), None)
    if cause is None or cause.size is None:
        messages.error(request, "Choose one of the causes.")
        return redirect(request.path)
    heard = NoteContent(
        verdict=Note.Verdict.ADJUST,
        reading=reading(tonight, cause),
        inputs=[tonight.clip.input],
    )
    note = write_note(rig=tonight.clip.rig, heard=heard, by=request.user)
    messages.success(request, "Written down. Change something because of it, then say how it went.")
    return redirect(note)


def reading(tonight: Tonight, cause: Cause) -> str:
    """What goes into the note."""
    differs = "; ".join(words.differences(tonight.ranking)) or "nothing beyond what takes differ in"
    return (
        f"“{tonight.clip}” against the signed “{tonight.signed}”: {differs}. "
        f"Could be: {words.named(cause)}. {cause.tells}"
    )


def _shown(tonight: Tonight) -> dict[str, Any]:
    ranking = tonight.ranking
    return {
        "tonight": tonight,
        "headline": words.headline(ranking),
        "differences": words.differences(ranking),
        "level": ranking.level,
        "causes": [
            {
                "cause": each,
                "named": words.named(each),
                "interval": words.interval(each),
                "percent": round(100 * each.share),
                "explains": round(100 * each.explains),
            }
            for each in ranking.causes[:SHOWN]
        ],
        # Written out by rigs.drawing.svg with everything escaped.
        "drawn": mark_safe(picture.difference(ranking)),  # noqa: S308
        "hear_url": compare_url([tonight.signed, tonight.clip]),
    }
