"""One show: its input list, what differs at an input, and the line on its leg's page."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.languages.words import each_of
from core.models import Leg, Show
from core.offline.queries import same_page_without
from core.places import Panel
from core.views.pages import carried_out, form_page, posted
from rigs.lists.input_list import DAY_GROUPS, day_grid, numbering_of
from rigs.lists.paging import page_of
from rigs.lists.paper import cautions_of, day_paper_rows
from rigs.lists.views import grid_file, variants_asked
from rigs.models import Input, ShowInput
from rigs.overview.listing import rig_rows
from rigs.overview.views import page_of_rigs
from rigs.shows.forms import DayInputForm, RigsForm
from rigs.shows.players import state_of_show, who_plays
from rigs.shows.rigs import played_at, rigs_at
from rigs.shows.services import as_listed, row_of, rows_of, stand_ins, tallies


def find_show(request: ProductionRequest, show_id: UUID) -> Show:
    """The show of this production, retired ones too, or 404."""
    shows = Show.objects.select_related("leg__production")
    show: Show = get_object_or_404(shows, pk=show_id, leg__production=request.production)
    return show


def find_input(request: ProductionRequest, entry_id: UUID) -> Input:
    inputs = Input.objects.select_related("device", "unit", "rig__player")
    entry: Input = get_object_or_404(inputs, pk=entry_id, rig__production=request.production)
    return entry


@require_safe
@production_view(Action.READ)
def inputs(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """?only=differs leaves out what is as in the list."""
    show = find_show(request, show_id)
    who = who_plays(show)
    rows = rows_of(show, variants_asked(request), who=who)
    only = request.GET.get("only") == "differs"
    shown = [row for row in rows if row.difference] if only else rows
    context = {
        "show": show,
        "all_rows": rows,
        "only": only,
        "active_nav": "tour",
        "who": who,
        "state": state_of_show(show, variants_asked(request), who),
        "rows": shown,
        "page": page_of(shown, request.GET),
        "day_groups": DAY_GROUPS,
        "numbering": numbering_of(rows),
        "differing": sum(bool(row.difference) for row in rows),
    }
    return render(request, "rigs/shows/inputs.html", context)


@require_safe
@production_view(Action.READ)
def playing(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """The rigs that play, a card each."""
    show = find_show(request, show_id)
    there = played_at([show])[show.pk]
    rows = [row for row in rig_rows(request.production) if row.pk in there]
    return page_of_rigs(request, rows, show=show, active_nav="tour")


@require_safe
@production_view(Action.READ)
def inputs_file(request: ProductionRequest, show_id: UUID, format: str) -> HttpResponse:
    show = find_show(request, show_id)
    who = who_plays(show)
    rows = rows_of(show, variants_asked(request), who=who)
    grid = day_paper_rows(rows) if format == "pdf" else day_grid(rows)
    # An input that is not used needs no caution on paper.
    entries = [row.entry for row in rows if not row.absent]
    return grid_file(
        request,
        grid,
        _("Input list, {show}").format(show=show),
        format,
        state=partial(state_of_show, show, variants_asked(request), who),
        page=within(request, "rigs:show_inputs", show.pk),
        cautions=cautions_of(entries) if format == "pdf" else (),
        captions=who.sentences if format == "pdf" else (),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
@same_page_without("next")  # where it leads afterwards
def rigs(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Which rigs play. ?next= is the page of this production to go back to."""
    show = find_show(request, show_id)
    back = request.GET.get("next", "")
    place = reverse("core:production", args=[request.production.pk])
    # Only a page of this production: any other address would make this an open redirect.
    if not back.startswith(place) or not url_has_allowed_host_and_scheme(back, None):
        back = within(request, "rigs:show_inputs", show.pk)
    form = RigsForm(posted(request), show=show, rigs=rigs_at(show))
    done = form.try_choose(request.user) if form.is_bound else None
    if done is not None:
        messages.success(
            request,
            _("Changed: {done}.").format(done=each_of(done))
            if done
            else _("The same rigs play as before."),
        )
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("Which rigs play"),
        cancel_url=back,
        active_nav="tour",
        template="rigs/shows/rigs.html",
        show=show,
        later=_("Which rigs play, {show}").format(show=show),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit_input(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    show, entry = find_show(request, show_id), find_input(request, input_id)
    back = within(request, "rigs:show_inputs", show.pk)
    row = row_of(show, entry)
    # Version 0 stands for “nothing differed when this page was made”.
    instance = row.difference or ShowInput(version=0)
    instance.show, instance.input = show, entry
    form = DayInputForm(posted(request), instance=instance, by=request.user)
    try:
        done = form.try_save()
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect(back)
    if done:
        messages.success(
            request,
            _("“{entry}” is noted for {show}. The rig stays as it is.").format(
                entry=entry, show=show
            ),
        )
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("Change for this show: {entry}").format(entry=entry),
        cancel_url=back,
        active_nav="tour",
        template="rigs/shows/input.html",
        show=show,
        entry=entry,
        row=row,
        stand_ins=stand_ins(row, show.leg.production),
    )


@require_POST
@production_view(Action.EDIT_RIG)
def input_as_listed(request: ProductionRequest, show_id: UUID, input_id: UUID) -> HttpResponse:
    show, entry = find_show(request, show_id), find_input(request, input_id)
    act = partial(as_listed, show, entry, by=request.user)
    carried_out(request, act, _("“{entry}” is as on the input list again.").format(entry=entry))
    return redirect(within(request, "rigs:show_inputs", show.pk))


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the lists of each show, and how much in them differs."""
    return {row.show.pk: Panel("rigs/shows/_of_show.html", {"row": row}) for row in tallies(leg)}
