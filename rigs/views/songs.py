"""What songs change on a rig."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Song
from core.panels import Panel
from core.views.pages import posted
from rigs.describing.build import snapshot_view
from rigs.forms.song_settings import SongSettingsForm
from rigs.revisions.read import live
from rigs.services.song_settings import of_song, on_rigs
from rigs.views.pages import address, change_page, find_rig


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest, rig: UUID) -> HttpResponse:
    """The whole set, each song with what it changes on this rig."""
    found = find_rig(request, rig)
    view = snapshot_view(found, live(found))
    songs = request.production.songs.filter(retired_at=None).order_by("position", "title")
    context = {
        "rig": found, "view": view, "active_nav": "rigs",
        "rows": [(song, of_song(view, str(song.pk))) for song in songs],
    }  # fmt: skip
    return render(request, "rigs/songs/index.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def song(request: ProductionRequest, rig: UUID, song: UUID) -> HttpResponse:
    found = find_rig(request, rig)
    chosen: Song = get_object_or_404(request.production.songs, pk=song)
    own = address(found, "rig_song", chosen.pk)
    form = SongSettingsForm(found, chosen, posted(request))
    return change_page(
        request, form, heading=f"{chosen} on {found}", done_url=own, song=chosen,
        template="rigs/songs/song.html", said=f"What “{chosen}” changes is saved.",
        view=of_song(snapshot_view(found, live(found)), str(chosen.pk)),
    )  # fmt: skip


def song_panel(request: HttpRequest, song: Song) -> Panel:
    """For the page of a song: what it changes on every rig."""
    context = {"rows": on_rigs(song), "song": song}
    return Panel("rigs/songs/_of_song.html", context, "rigs/_sheets.html")
