"""The set: songs in their order."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.lines import SeveralSongsForm
from core.forms.tour import SongForm
from core.models import Song
from core.places import SET, SONG
from core.services.ordering import move, next_position
from core.views.another import after_saving
from core.views.pages import (
    direction,
    form_page,
    posted,
    posted_id,
    retire_or_restore,
    several_page,
)


@require_safe
@production_view(Action.READ)
def songs(request: ProductionRequest) -> HttpResponse:
    in_use = Count("sections", filter=Q(sections__retired_at=None))
    # Grouping drops the order of the model.
    in_set = request.production.songs.annotate(section_count=in_use).order_by("position", "title")
    songs = list(in_set)
    context = {
        "songs": [song for song in songs if not song.is_retired],
        "retired": [song for song in songs if song.is_retired],
        "panels": SET.call(request, request.production),
        "active_nav": "songs",
    }
    return render(request, "core/songs.html", context)


@require_safe
@production_view(Action.READ)
def song(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    song = _song(request, song_id)
    sections = list(song.sections.all())
    research = list(
        song.research.select_related("player", "written_by").order_by(
            "player__position", "player__name", "from_s", "written_at"
        )
    )
    for entry in research:
        entry.song = song  # one query less for each
    context = {
        "song": song,
        "research": [entry for entry in research if not entry.is_retired],
        "retired_research": [entry for entry in research if entry.is_retired],
        "panels": SONG.call(request, song),
        "sections": [section for section in sections if not section.is_retired],
        "retired": [section for section in sections if section.is_retired],
        "active_nav": "songs",
    }
    return render(request, "core/song.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def new(request: ProductionRequest) -> HttpResponse:
    place = next_position(request.production.songs.all())
    back = within(request, "core:songs")
    song = Song(production=request.production, position=place)
    return _edit(request, song, _("Add a song"), back, offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def several(request: ProductionRequest) -> HttpResponse:
    return several_page(
        request,
        SeveralSongsForm(request.production, posted(request)),
        heading=_("Add songs"),
        back=within(request, "core:songs"),
        active_nav="songs",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    song = _song(request, song_id)
    retire_url = within(request, "core:song_retire", song.pk)
    back = song.get_absolute_url()
    return _edit(request, song, _("About this song"), back, retire_url=retire_url, item=song)


def _edit(
    request: ProductionRequest, song: Song, heading: str, back: str, **more: object
) -> HttpResponse:
    form = SongForm(posted(request), instance=song)
    if form.try_save():
        messages.success(request, _("“{song}” is saved.").format(song=song))
        return redirect(after_saving(request, form, song.get_absolute_url()))
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="songs", **more)


@require_POST
@production_view(Action.EDIT_TOUR)
def retire(request: ProductionRequest, song_id: UUID) -> HttpResponse:
    song = _song(request, song_id)
    return retire_or_restore(request, song, song.get_absolute_url())


@require_POST
@production_view(Action.EDIT_TOUR)
def order(request: ProductionRequest) -> HttpResponse:
    live = request.production.songs.filter(retired_at=None)
    song = get_object_or_404(live, pk=posted_id(request, "song"))
    move(among=live, item=song, direction=direction(request))
    return redirect(within(request, "core:songs"))


def _song(request: ProductionRequest, song_id: UUID) -> Song:
    return get_object_or_404(request.production.songs, pk=song_id)
