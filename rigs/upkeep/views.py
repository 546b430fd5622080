"""What wears and when it was changed: on a unit, of one thing, and over the whole production."""

from __future__ import annotations

from collections import defaultdict
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.dates import short_day
from core.models import Leg
from core.places import Panel
from core.views.pages import posted
from rigs.editing.kinds import SpareForm
from rigs.editing.pages import add_to_unit, address, edit_page, find_part
from rigs.models import Spare, Unit, UpkeepEntry
from rigs.models.due import DueState
from rigs.retire.views import retire_or_restore_part
from rigs.upkeep.cautions import caution_for, cautions_for
from rigs.upkeep.forms import DoneForm
from rigs.upkeep.fuses import SOURCE, read_fuse
from rigs.upkeep.services import (
    Item,
    for_items,
    items,
    live_spares,
    next_show,
    note_done,
    shows_of,
    take_back,
    today,
)
from rigs.upkeep.spares import spares_to_carry
from rigs.wording.unit_views import tuned_words


@require_safe
@production_view(Action.READ)
def due(request: ProductionRequest) -> HttpResponse:
    """What must be done before the next show, and what to carry."""
    place = request.production.pk
    shows = shows_of([place])
    due_items = items(live_spares([place]), shows)
    waiting = [item for item in due_items if item.due.waits]
    never = [item for item in due_items if item.due.state is DueState.NEVER]
    context = {
        "next_show": next_show(shows.get(place, [])),
        "waiting": waiting,
        "never": never,
        "later": [item for item in due_items if item not in waiting and item not in never],
        "carry": spares_to_carry(item.spare for item in due_items),
        "cautions": cautions_for((item.spare.sort, item.spare.what) for item in (*waiting, *never)),
        "active_nav": "upkeep",
    }
    return render(request, "rigs/upkeep/due.html", context)


def unit_items(unit: Unit) -> list[Item]:
    """The items for the page of a unit. Three queries."""
    place = unit.rig.production_id
    spares = for_items(Spare.objects.live().filter(unit=unit))
    of_unit: list[Item] = items(spares, shows_of([place]))
    # In the order of the unit: its page is for looking something up, not for what is due.
    return sorted(of_unit, key=lambda item: (item.spare.position, str(item.spare.pk)))


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def page(request: ProductionRequest, rig_id: UUID, spare_id: UUID) -> HttpResponse:
    """One thing that wears: what it is, when it is due, and everything that was noted of it."""
    spare = find_part(request, Spare, rig_id, spare_id)
    form = DoneForm(spare, posted(request))
    if form.is_bound and form.is_valid() and _noted(request, spare, form):
        return redirect(address(spare.rig, "spare", spare.pk))
    shows = shows_of([request.production.pk])
    log = spare.entries.filter(takes_back=None).select_related("show", "taken_back")
    context = {
        "rig": spare.rig,
        "spare": spare,
        "form": form,
        "log": log[:100],
        "active_nav": "upkeep",
        # Retired ones as well: their page stays to be read.
        "item": items(for_items(Spare.objects.filter(pk=spare.pk)), shows)[0],
        "tuned": tuned_words(spare.pitch, spare.pitch_at),
        "caution": caution_for(spare.sort, spare.what),
        "fuse": read_fuse(spare.what) if spare.sort == Spare.Sort.FUSE else "",
        "fuse_source": SOURCE,
    }
    return render(request, "rigs/upkeep/spare.html", context)


@require_POST
@production_view(Action.EDIT_RIG)
def done(request: ProductionRequest, rig_id: UUID, spare_id: UUID) -> HttpResponse:
    """Note with one tap that it was changed today, and go back to where the button was."""
    spare = find_part(request, Spare, rig_id, spare_id)
    form = DoneForm(spare, posted(request))
    if not form.is_valid() or not _noted(request, spare, form):
        messages.error(request, " ".join(str(e) for es in form.errors.values() for e in es))
    return redirect(_back(request, address(spare.rig, "spare", spare.pk)))


def _noted(request: ProductionRequest, spare: Spare, form: DoneForm) -> bool:
    try:
        entry = note_done(spare=spare, by=request.user, **form.cleaned_data)
    except ValidationError as error:
        form.add_error(None, error)
        return False
    messages.success(
        request,
        _("Noted: {what} was changed on {day}.").format(
            what=entry.told_of, day=short_day(entry.done_on)
        ),
    )
    return True


@require_POST
@production_view(Action.EDIT_RIG)
def undo(request: ProductionRequest, rig_id: UUID, spare_id: UUID, entry_id: UUID) -> HttpResponse:
    spare = find_part(request, Spare, rig_id, spare_id)
    noted = get_object_or_404(UpkeepEntry, pk=entry_id, spare=spare)
    try:
        take_back(entry=noted, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, _("Taken back: {noted}.").format(noted=noted))
    return redirect(address(spare.rig, "spare", spare.pk))


def _back(request: HttpRequest, otherwise: str) -> str:
    """The page the button was on, if it is one of ours."""
    to = request.POST.get("back", "")
    # The field is in the visitor’s hands: it must not lead to another site.
    safe = url_has_allowed_host_and_scheme(to, allowed_hosts=None)
    return to if safe and to.startswith("/") else otherwise


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    return add_to_unit(
        request,
        rig_id,
        unit_id,
        SpareForm,
        heading=_("What wears on “{}”"),
        named="what",
        success=_("“{}” is on the list."),
        section="#upkeep",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, spare_id: UUID) -> HttpResponse:
    spare = find_part(request, Spare, rig_id, spare_id)
    return edit_page(
        request,
        spare,
        SpareForm,
        heading=_("“{spare}” of “{unit}”").format(spare=spare, unit=spare.unit),
        success=_("“{spare}” is saved.").format(spare=spare),
        back=address(spare.rig, "spare", spare.pk),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, rig_id: UUID, spare_id: UUID) -> HttpResponse:
    spare = find_part(request, Spare, rig_id, spare_id)
    own = address(spare.rig, "spare", spare.pk)
    unit = address(spare.rig, "unit", spare.unit_id)
    return retire_or_restore_part(
        request, spare.rig, spare, edit_url=own, back_url=own, done_url=unit
    )


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: what must be done before which of its shows. Three queries."""
    shows = shows_of([leg.production_id])
    of_leg = items(live_spares([leg.production_id]), shows)
    if not of_leg:
        return {}
    own = [show for show in shows.get(leg.production_id, []) if show.leg_id == leg.pk]
    coming = next_show(shows.get(leg.production_id, []))
    rows: dict[UUID, list[Item]] = defaultdict(list)
    for item in of_leg:
        # What is overdue was due at a show that is over; it is shown at the one it can still serve.
        show = coming if item.due.waits else item.show
        if show is not None:
            rows[show.pk].append(item)
    # What is over has nothing left to be changed before it.
    return {
        show.pk: Panel("rigs/upkeep/_of_show.html", {"items": rows[show.pk]})
        for show in own
        if rows[show.pk] or show.held_on >= today()
    }
