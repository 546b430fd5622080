"""Tonight's gear, to read: what differs at a show, a rig as it is there, on paper, and by whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core import clock
from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, guest_of, production_view
from core.languages.words import apart, each_of
from core.models import Leg, Show
from core.places import Panel
from rigs.editing.pages import find_rig
from rigs.models import Rig, Unit, UnitAtShow, UnitAtShowChange
from rigs.paper.responses import paper_of, pdf
from rigs.paper.sheets import sheet_of
from rigs.photos.serve import picture_response
from rigs.places import UnitTonight as InLine
from rigs.shows.rigs import played_at
from rigs.shows.views import find_show
from rigs.tonight.at_show import UnitTonight, by_unit, in_lines, rig_at, units_at
from rigs.tonight.layers import Layer, counting
from rigs.tonight.records import Lasts, layer_of, rows_at, rows_at_shows, tried


@require_safe
@production_view(Action.READ)
def gear(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """What differs, beside what is documented, and every unit of which it may be said."""
    show = find_show(request, show_id)
    units = units_at(show)
    playing = played_at([show])[show.pk]
    others = Unit.objects.live().filter(rig__in=playing).select_related("rig__player")
    differing = by_unit(units)
    rows = others.order_by("rig__player__position", "rig", "position", "pk")
    said = UnitAtShow.objects.filter(show=show).exclude(permanent=None)
    context = {
        "show": show,
        "units": units,
        "others": [unit for unit in rows if unit.pk not in differing],
        "paused": said_to_pause(show),
        "permanent": said.select_related("unit__rig", "permanent"),
        "tried": _tried(show, units),
        "active_nav": "tour",
    }
    return render(request, "rigs/tonight/gear.html", context)


def said_to_pause(show: Show) -> list[UnitAtShow]:
    """What is as documented at the show though the leg has it otherwise."""
    rows = UnitAtShow.objects.filter(
        show=show, what=UnitAtShow.What.DOCUMENTED, withdrawn_at=None, unit__retired=False
    )
    return list(rows.select_related("unit__rig__player"))


def _tried(show: Show, units: Sequence[UnitTonight]) -> list[UnitAtShow]:
    """What was tried at other shows and judged; the models that are here tonight come first."""
    here = {each.substitute.make.casefold() for each in units if each.substitute is not None}
    rows = tried(show.leg.production_id).exclude(fared="").exclude(show=show)[:40]
    return sorted(rows, key=lambda row: row.make.casefold() not in here)[:8]


@require_safe
@production_view(Action.READ)
def rig(request: ProductionRequest, show_id: UUID, rig_id: UUID) -> HttpResponse:
    """The whole rig as it is at the show; what differs is marked, with what is documented."""
    show, found = find_show(request, show_id), find_rig(request, rig_id)
    context = {
        "show": show,
        "rig": found,
        "tonight": rig_at(show, found),
        "active_nav": "tour",
    }
    return render(request, "rigs/tonight/rig.html", context)


@require_safe
@production_view(Action.READ)
def recall(request: ProductionRequest, show_id: UUID, rig_id: UUID) -> HttpResponse:
    """The recall sheet of the rig as it is at the show."""
    show, found = find_show(request, show_id), find_rig(request, rig_id)
    tonight = rig_at(show, found)
    page = within(request, "rigs:rig_tonight", show.pk, found.pk)
    sheet = sheet_of(
        found,
        tonight.view,
        title=_("Recall sheet, {show}: {name}").format(show=show, name=tonight.view.name),
        address=request.build_absolute_uri(page),
        paper=paper_of(request),
        stamp=_("as it is on {show}").format(show=show),
        moved=moved_words(show, tonight.units),
    )
    return pdf(
        request, sheet, _("Recall {found} {held_on}").format(found=found, held_on=show.held_on)
    )


def moved_words(show: Show, units: Mapping[str, Any]) -> str:
    """What differs, for a sheet: each unit with what is documented."""
    if not units:
        return _("As documented: nothing differs at {show}.").format(show=show)
    told, nothing = [], _("nothing")
    for each in units.values():
        pairs = [f"{d.label} {d.documented or nothing}" for d in each.differs]
        said = _("{unit} ({layer}; documented: {values})")
        told.append(said.format(unit=each.line, layer=each.layer, values=each_of(pairs)))
    return _("Tonight, {show}: {told}.").format(show=show, told=apart(told))


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Who said what of the gear of a show, newest first."""
    show = find_show(request, show_id)
    changes = UnitAtShowChange.objects.filter(row__show=show)
    context = {
        "show": show,
        "changes": changes.select_related("row__unit__rig__player").order_by("-at", "pk")[:200],
        "active_nav": "tour",
    }
    return render(request, "rigs/tonight/history.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: how many units differ at each show."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    rows = rows_at_shows(leg.pk)
    return {
        show.pk: Panel("rigs/tonight/_of_show.html", {"differing": _count(show, rows)})
        for show in shows
    }


def _count(show: Show, rows: list[UnitAtShow]) -> int:
    holding = [
        row
        for row in rows
        if row.show_id == show.pk or (row.lasts == Lasts.LEG and row.show.held_on <= show.held_on)
    ]
    holding.sort(key=lambda row: (row.lasts == Lasts.SHOW, row.show.held_on, row.at))
    return len({layer.unit for layer in counting(_bare(row) for row in holding)})


def _bare(row: UnitAtShow) -> Layer:
    """The layer without what it says of controls, which takes a query for each."""
    return Layer(str(row.pk), str(row.unit_id), row.what)


def lines_at(show: Show) -> dict[UUID, InLine]:
    """For the lists of a show: what of each unit is other, in a line."""
    return in_lines(units_at(show))


def of_rig(request: HttpRequest, rig: Rig) -> Panel | None:
    """For the page of a rig: that it differs at the next show, and where to see it so."""
    if guest_of(request):
        return None  # a guest's link names the rig, not the show
    coming = Show.objects.filter(
        leg__production=rig.production_id, retired_at=None, held_on__gte=clock.now().date()
    )
    show = coming.select_related("leg").order_by("held_on", "room", "pk").first()
    if show is None:
        return None
    layers = counting(layer_of(row) for row in rows_at(show, [rig]))
    if not layers:
        return None
    count = len({layer.unit for layer in layers})
    return Panel("rigs/tonight/_of_rig.html", {"show": show, "rig": rig, "differing": count})


@require_safe
@production_view(Action.READ)
def photo(request: ProductionRequest, show_id: UUID, said_id: UUID) -> HttpResponseBase:
    """The photo of what came, `?size=thumb` for the small one. `?v=` names the picture, so that the
    address is of one picture for good."""
    rows = UnitAtShow.objects.select_related("photo")
    row = get_object_or_404(
        rows, pk=said_id, show=show_id, show__leg__production=request.production
    )
    if row.photo is None or request.GET.get("v", str(row.photo_id)) != str(row.photo_id):
        raise Http404(_("There is no such picture."))
    return picture_response(request, row.photo, row.make)


def find_unit(request: ProductionRequest, unit_id: UUID) -> Unit:
    units = Unit.objects.select_related("rig__player", "rig__production")
    unit: Unit = get_object_or_404(units, pk=unit_id, rig__production=request.production)
    return unit
