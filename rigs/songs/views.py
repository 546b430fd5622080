"""What songs change on a rig, and the run sheet."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Leg, Player, Production, Show, Song
from core.places import Panel
from core.views.pages import asked_id, form_page, posted
from rigs.editing.pages import address, change_page, find_rig
from rigs.models import ChangeTimes
from rigs.paper.responses import paper_of, pdf
from rigs.revisions.many import newest
from rigs.shows.views import find_show
from rigs.songs.change_times_form import ChangeTimesForm
from rigs.songs.paper import sheet_of_run
from rigs.songs.run_sheet import run_sheet
from rigs.songs.services import of_song, on_rigs
from rigs.songs.settings_form import SongSettingsForm
from rigs.wording.build import snapshot_view


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """The whole set, each song with what it changes on this rig."""
    rig = find_rig(request, rig_id)
    view = snapshot_view(rig, newest(rig))
    songs = request.production.songs.filter(retired_at=None).order_by("position", "title")
    context = {
        "rig": rig,
        "view": view,
        "active_nav": "rigs",
        "rows": [(song, of_song(view, str(song.pk))) for song in songs],
    }
    return render(request, "rigs/songs/index.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def song(request: ProductionRequest, rig_id: UUID, song_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    chosen: Song = get_object_or_404(request.production.songs, pk=song_id)
    own = address(rig, "rig_song", chosen.pk)
    form = SongSettingsForm(rig, chosen, posted(request))
    return change_page(
        request,
        form,
        heading=_("{song} on {rig}").format(song=chosen, rig=rig),
        done_url=own,
        song=chosen,
        template="rigs/songs/song.html",
        success=_("What “{chosen}” changes is saved.").format(chosen=chosen),
        view=of_song(snapshot_view(rig, newest(rig)), str(chosen.pk)),
    )


def song_panel(request: HttpRequest, song: Song) -> Panel:
    """For the page of a song: what it changes on every rig."""
    context = {"rows": on_rigs(song), "song": song}
    return Panel("rigs/songs/_of_song.html", context, "rigs/_sheets.html")


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the link to the run sheet of each show."""
    return {
        show.pk: Panel("rigs/songs/_of_show.html", {})
        for show in leg.shows.all()
        if not show.is_retired
    }


def set_panel(request: HttpRequest, production: Production) -> Panel:
    """For the page of the set: the ways between songs that are too short."""
    return Panel("rigs/songs/_of_set.html", {"sheet": run_sheet(production)}, "rigs/_sheets.html")


@require_safe
@production_view(Action.READ)
def run(request: ProductionRequest) -> HttpResponse:
    """The set for the tech; `?player=` keeps to what one player needs, `?show=` to the rigs that
    play there."""
    player, show = _player(request), _show(request)
    sheet = run_sheet(request.production, player, show)
    context = {
        "sheet": sheet,
        "gear_tonight": sheet.gear,
        "player": player,
        "show": show,
        "players": request.production.players.filter(retired_at=None),
        "title": _title(player, show),
        "active_nav": "tour" if show else "songs",
        "asked": _asked(player, show),
        "who": sheet.who,
    }
    return render(request, "rigs/songs/run.html", context)


@require_safe
@production_view(Action.READ)
def run_pdf(request: ProductionRequest) -> HttpResponse:
    player, show = _player(request), _show(request)
    sheet, title = run_sheet(request.production, player, show), _title(player, show)
    made = sheet_of_run(
        sheet,
        request.production,
        title,
        paper=paper_of(request),
        who=sheet.who,
        gear=[each.line for each in sheet.gear],
    )
    return pdf(request, made, title)


def _title(player: Player | None, show: Show | None) -> str:
    if show and player:
        return _("Run sheet, {show}: {player}").format(show=show, player=player)
    if show:
        return _("Run sheet, {show}").format(show=show)
    return _("Run sheet: {player}").format(player=player) if player else _("Run sheet")


def _asked(player: Player | None, show: Show | None) -> str:
    """The query that asks for the same sheet."""
    given = {"player": player, "show": show}
    return urlencode({name: each.pk for name, each in given.items() if each is not None})


def _show(request: ProductionRequest) -> Show | None:
    """The show that the address names; none without one. Raises Http404."""
    show_id = asked_id(request, "show")
    return find_show(request, show_id) if show_id else None


def _player(request: ProductionRequest) -> Player | None:
    """The player whom the address names; all of them without one. Raises Http404."""
    player_id = asked_id(request, "player")
    return get_object_or_404(request.production.players, pk=player_id) if player_id else None


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def times(request: ProductionRequest) -> HttpResponse:
    place = request.production
    row = ChangeTimes.objects.filter(production=place).first()
    form = ChangeTimesForm(posted(request), instance=row or ChangeTimes(production=place))
    back = within(request, "rigs:run_sheet")
    if form.try_save():
        messages.success(request, _("How long changes take is saved."))
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("How long changes take"),
        cancel_url=back,
        active_nav="songs",
        lede=_(
            "What your crew needs on a dark stage, not on the bench. Time it once; the warnings "
            "between songs go by it."
        ),
    )
