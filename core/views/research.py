"""What the record does: research beside a song."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.research import ResearchForm
from core.models import Research, Song
from core.views.another import after_saving
from core.views.pages import form_page, posted, retire_or_restore

LEDE = gettext_lazy(
    "One place on a record, and what one player’s sound should take from it. Several places are "
    "several entries."
)


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def new(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    """`?player=` chooses whom it is for."""
    song: Song = get_object_or_404(request.production.songs, pk=song_id)
    made = Research(song=song, written_by=request.user)
    made.player_id = _player(request)
    return _edit(
        request, made, _("What the record does in “{song}”").format(song=song), offer_another=True
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def edit(request: ProductionRequest, research_id: UUID) -> HttpResponse:
    research = _find(request, research_id)
    retire_url = within(request, "core:research_retire", research.pk)
    return _edit(request, research, _("About this place"), retire_url=retire_url, item=research)


def _edit(
    request: ProductionRequest, research: Research, heading: str, **more: object
) -> HttpResponse:
    form = ResearchForm(posted(request), instance=research)
    back = research.get_absolute_url()
    if form.try_save():
        messages.success(request, _("What the record does is saved."))
        return redirect(after_saving(request, form, back))
    return form_page(
        request, form, heading=heading, cancel_url=back, active_nav="songs", lede=LEDE, **more
    )


@require_POST
@production_view(Action.WRITE_NOTE)
def retire(request: ProductionRequest, research_id: UUID) -> HttpResponse:
    research = _find(request, research_id)
    return retire_or_restore(request, research, research.get_absolute_url())


def _find(request: ProductionRequest, research_id: UUID) -> Research:
    every = Research.objects.select_related("song__production", "player")
    return get_object_or_404(every, pk=research_id, song__production=request.production)


def _player(request: ProductionRequest) -> UUID | None:
    try:
        player_id = UUID(request.GET.get("player", ""))
    # A wrong player in the address only loses the choice beforehand; the form still opens.
    except ValueError:
        return None
    known = request.production.players.filter(pk=player_id, retired_at=None)
    return known.values_list("pk", flat=True).first()
