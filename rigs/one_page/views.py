"""Sheets of one page: a player's rig, and a drum kit, as documented or as it is at a show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.languages.words import leading
from core.models import Show
from core.sets.order import set_of_production, set_of_show
from rigs.editing.pages import find_rig
from rigs.lists.input_list import DayInput
from rigs.lists.paper import differs_words
from rigs.models import Rig
from rigs.one_page.kit import kit_page
from rigs.one_page.player import PlayerPage, player_pages
from rigs.overview.listing import live_view
from rigs.paper.responses import paper_of, pdf
from rigs.paper.sheets import moved_since_signed, stamp
from rigs.revisions import read
from rigs.shows.players import WhoPlays, who_plays
from rigs.shows.services import rows_of
from rigs.shows.views import find_show
from rigs.songs.run_sheet import RunSheet, of_set
from rigs.tonight.at_show import Differing, RigTonight, UnitTonight, rig_at, rigs_at
from rigs.wording import RigView


@require_safe
@production_view(Action.READ)
def player(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """The rig on one page, as it is documented."""
    rig = find_rig(request, rig_id)
    view, signed = live_view(rig)
    page = PlayerPage(
        rig,
        view,
        str(rig.player),
        of_set(request.production, set_of_production(request.production), {rig: view}),
        _address(request, rig),
        moved=moved_since_signed(view, signed),
    )
    return _pressed(request, page, stamp(read.revision(rig, rig.head_number)))


@require_safe
@production_view(Action.READ)
def player_tonight(request: ProductionRequest, show_id: UUID, rig_id: UUID) -> HttpResponse:
    """The rig on one page as it is at the show, with its songs of that show's set."""
    show, rig = find_show(request, show_id), find_rig(request, rig_id)
    (page,) = _pages_at(request, show, [rig], who_plays(show))
    return _pressed(request, page, _("as it is on {show}").format(show=show))


@require_safe
@production_view(Action.READ)
def players_tonight(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Each rig that plays at the show on a page of its own, all in one file."""
    show = find_show(request, show_id)
    who = who_plays(show)
    made = player_pages(
        _pages_at(request, show, who.rigs_in_order, who),
        title=_("All players, {show}").format(show=show),
        place=str(request.production),
        stamp=_("as it is on {show}").format(show=show),
        paper=paper_of(request),
    )
    return pdf(request, made, _("All players {day}").format(day=show.held_on))


def _pages_at(
    request: ProductionRequest, show: Show, rigs: Sequence[Rig], who: WhoPlays
) -> list[PlayerPage]:
    """The pages of rigs at a show; as many queries for many as for one."""
    at_show = rigs_at(show, rigs)
    views = {rig: each.view for rig, each in at_show.items()}
    sheet = of_set(request.production, set_of_show(show), views)
    rows = rows_of(show, rigs=[rig.pk for rig in rigs])
    return [
        PlayerPage(
            rig,
            views[rig],
            who.of(rig.player).said,
            _only(sheet, rig),
            request.build_absolute_uri(within(request, "rigs:rig_tonight", show.pk, rig.pk)),
            show,
            _differing(at_show[rig], rows),
            {str(row.listed.pk): row for row in rows if row.difference is not None},
        )
        for rig in rigs
    ]


def _only(sheet: RunSheet, rig: Rig) -> RunSheet:
    """The set as one rig plays it."""
    songs = (
        replace(song, parts=tuple(part for part in song.parts if part.rig == rig))
        for song in sheet.songs
    )
    return replace(sheet, songs=tuple(songs))


def _differing(tonight: RigTonight, rows: Iterable[DayInput]) -> Mapping[str, str]:
    """What of units and inputs is other, in lines, by the id of the part; `rows` may be those of
    several rigs."""
    units = {unit: unit_words(each) for unit, each in tonight.units.items()}
    told = {str(row.listed.pk): differs_words(row) for row in rows}
    return units | {
        entry.id: leading(entry.label, told[entry.id])
        for entry in tonight.view.inputs
        if told.get(entry.id)
    }


def unit_words(each: UnitTonight) -> str:
    """What is other about a unit, beside what is documented; its controls are drawn, not told."""
    moved = {control.name for control in each.unit.changed_controls}
    sub = each.substitute
    told = [
        _differing_words(d, sub.from_whom if sub else "")
        for d in each.differs
        if sub is not None or d.label not in moved
    ]
    if moved and sub is None:
        told.append(_("controls marked with a diamond stand elsewhere"))
    return _("{unit}: {what}; {layer}").format(
        unit=each.unit.name, what=_(", ").join(told), layer=each.layer
    )


def _differing_words(each: Differing, from_whom: str) -> str:
    """“Head B from Corvane Hire (documented: Head A)”."""
    is_unit = each.label in ("Unit", _("Unit"))
    tonight = each.tonight or _("not set")
    before = each.documented or _("nothing")
    if not is_unit:
        words = _("{label} {tonight} (documented: {before})")
    elif from_whom:
        words = _("{tonight} from {firm} (documented: {before})")
    else:
        words = _("{tonight} (documented: {before})")
    return words.format(label=each.label, tonight=tonight, before=before, firm=from_whom)


def _pressed(request: ProductionRequest, page: PlayerPage, stamped: str) -> HttpResponse:
    title = leading(page.name, page.view.name) + (f", {page.show}" if page.show else "")
    made = player_pages(
        [page], title=title, place=str(request.production), stamp=stamped, paper=paper_of(request)
    )
    return pdf(request, made, _named(_("One page {rig}"), page.rig, page.show))


def _named(words: str, rig: Rig, show: Show | None) -> str:
    """The name of a file, with the day where it is that of a show."""
    named = words.format(rig=rig)
    return f"{named} {show.held_on}" if show else named


@require_safe
@production_view(Action.READ)
def kit(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """The drum kit on one page, as it is documented."""
    rig = find_rig(request, rig_id)
    view = live_view(rig)[0]
    stamped = stamp(read.revision(rig, rig.head_number))
    return _kit(request, rig, view, stamped, address=_address(request, rig))


@require_safe
@production_view(Action.READ)
def kit_tonight(request: ProductionRequest, show_id: UUID, rig_id: UUID) -> HttpResponse:
    """The drum kit on one page as it is at the show."""
    show, rig = find_show(request, show_id), find_rig(request, rig_id)
    tonight = rig_at(show, rig)
    address = request.build_absolute_uri(within(request, "rigs:rig_tonight", show.pk, rig.pk))
    differs = _differing(tonight, rows_of(show, rigs=[rig.pk]))
    stamped = _("as it is on {show}").format(show=show)
    return _kit(request, rig, tonight.view, stamped, address=address, show=show, tonight=differs)


def _kit(
    request: ProductionRequest,
    rig: Rig,
    view: RigView,
    stamped: str,
    *,
    address: str,
    show: Show | None = None,
    tonight: Mapping[str, str] | None = None,
) -> HttpResponse:
    name = who_plays(show).of(rig.player).said if show else str(rig.player)
    made = kit_page(
        view,
        name,
        place=str(request.production),
        stamp=stamped,
        address=address,
        paper=paper_of(request),
        show=show,
        tonight=tonight or {},
    )
    return pdf(request, made, _named(_("Kit {rig}"), rig, show))


def _address(request: ProductionRequest, rig: Rig) -> str:
    return request.build_absolute_uri(reverse("rigs:rig", args=[request.production.pk, rig.pk]))
