"""The plot of all shows and of one: to read, to print, to put things in their places."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from core.places import Panel
from core.views.pages import carried_out, form_page, posted
from rigs.cautions import MAINS
from rigs.models import PlotChange, StageSize
from rigs.paper.responses import paper_of, pdf
from rigs.plot.facing import offered
from rigs.plot.forms import PlacesForm
from rigs.plot.load import plot_of
from rigs.plot.paper import plot_sheet
from rigs.plot.places import page_of
from rigs.plot.services import RETIRED_SHOW, all_as_usual
from rigs.plot.things import Thing, What
from rigs.plot.words import SIDES, size_words

SHOWN_CHANGES = 40
# The page on which a thing itself is changed, where it belongs to the plot.
_OWN_PAGES = {What.RISER: "rigs:plot_riser", What.MAINS: "rigs:plot_drop"}


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    place = page_of(request, show_id)
    plot = plot_of(request.production, place.show)
    context = {
        **place.context,
        "plot": plot,
        "groups": [
            (what.heading, [(thing, _own_page(request, thing)) for thing in things])
            for what, things in plot.groups
        ],
        "unplaced": [(thing, _own_page(request, thing)) for thing in plot.unplaced],
        "sides": SIDES,
        "mains": any(thing.what is What.MAINS for thing in plot.things),
        "caution": MAINS,
    }
    return render(request, "rigs/plot/plot.html", context)


def _own_page(request: ProductionRequest, thing: Thing) -> str:
    name = _OWN_PAGES.get(thing.what)
    return within(request, name, UUID(thing.key.partition("-")[2])) if name else ""


@require_safe
@production_view(Action.READ)
def sheet(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """The PDF; ?paper=us-letter for Letter."""
    place = page_of(request, show_id)
    plot = plot_of(request.production, place.show)
    title = _("Stage plot, {show}").format(show=place.show) if place.show else _("Stage plot")
    made = plot_sheet(request.production, plot, title=title, paper=paper_of(request))
    return pdf(request, made, title)


def _places(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """The places of everything, by numbers and by dragging, for all shows or for one."""
    place = page_of(request, show_id)
    if place.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(place.at("plot"))
    plot = plot_of(request.production, place.show)
    data = posted(request)
    form = PlacesForm(plot, request.production, data, by=request.user, show=place.show)
    if (done := form.try_save()) is not None:
        told = _("Everything stood there already.")
        if done:
            told = ngettext("{n} place is changed.", "{n} places are changed.", len(done))
        messages.success(request, told.format(n=len(done)))
        return redirect(place.at("plot"))
    heading = _("Places on the stage")
    if place.show:
        heading = _("Places on the stage, {show}").format(show=place.show)
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=place.at("plot"),
        template="rigs/plot/places.html",
        fields="rigs/plot/_places.html",
        plot=plot,
        sides=SIDES,
        directions=offered(),
        submit=_("Save places"),
        later=heading,
        others=[thing for thing in plot.things if thing.usual],
        **place.context,
    )


places = require_http_methods(["GET", "POST"])(production_view(Action.EDIT_RIG)(_places))
show_places = require_http_methods(["GET", "POST"])(production_view(Action.LINE_CHECK)(_places))


@require_POST
@production_view(Action.LINE_CHECK)
def places_as_usual(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Answers the same where nothing stands elsewhere, as when the button was pressed twice."""
    place = page_of(request, show_id)
    act = partial(all_as_usual, place.the_show, by=request.user)
    carried_out(request, act, _("Everything stands as for all shows."))
    return redirect(place.at("plot"))


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, show_id: UUID | None = None) -> HttpResponse:
    """Who changed the plot when: of all shows, with what was changed for this one."""
    place = page_of(request, show_id)
    of_all = Q(show=None)
    held = of_all if place.show is None else of_all | Q(show=place.show)
    changes = PlotChange.objects.filter(held, production=request.production)
    shown = changes.select_related("show__leg")[:SHOWN_CHANGES]
    context = {**place.context, "changes": shown, "most": SHOWN_CHANGES}
    return render(request, "rigs/plot/history.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the plot of each show, and how large its stage is. One query."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    own = {size.show_id: size for size in StageSize.objects.filter(show__in=shows)}
    return {
        show.pk: Panel(
            "rigs/plot/_of_show.html",
            {"size": size_words(own[show.pk]) if show.pk in own else ""},
        )
        for show in shows
    }
