"""The mixes of a production, one of them, its history, and the page on which it is written."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Player
from core.numbers import whole_number
from core.views.pages import retire_or_restore
from notes.models import MixVersion, MonitorMix
from notes.monitors.cautions import HEARING
from notes.monitors.forms import MixForm
from notes.monitors.paper import mixes_pdf
from notes.monitors.refs import Known
from notes.monitors.services import (
    MixConflict,
    MixRefused,
    change,
    create,
    mixes_now,
    names_of_players,
    state_at,
)
from notes.monitors.shown import all_shown, shown
from notes.monitors.signing import may_sign
from notes.monitors.state import MixState
from notes.monitors.words import in_words
from rigs.paper.responses import paper_of, pdf

SHOWN_VERSIONS = 5


def find_mix(request: ProductionRequest, mix_id: UUID) -> MonitorMix:
    """The mix of this production, retired ones too, or 404."""
    mixes = MonitorMix.objects.select_related("player")
    mix: MonitorMix = get_object_or_404(mixes, pk=mix_id, production=request.production)
    return mix


def context_of(request: ProductionRequest, mix: MonitorMix) -> dict[str, Any]:
    """What every page about one mix shows."""
    now = mixes_now([mix])
    [entry] = shown(now, Known(request.production.pk))
    return {
        "entry": entry,
        "mix": mix,
        "newest": now[0].newest,
        "caution": HEARING,
        "active_nav": "rigs",
    }


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    retired = MonitorMix.objects.filter(production=request.production).exclude(retired_at=None)
    context = {
        "entries": all_shown(request.production),
        "retired": retired.select_related("player"),
        "caution": HEARING,
        "active_nav": "rigs",
    }
    return render(request, "notes/monitors/index.html", context)


@require_safe
@production_view(Action.READ)
def mix(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    found = find_mix(request, mix_id)
    versions = MixVersion.objects.filter(mix=found).defer("state")
    wishes = found.wishes.select_related("show").order_by("-at")
    context = context_of(request, found) | {
        "versions": list(versions[: SHOWN_VERSIONS + 1]),
        "past_wishes": list(wishes[:10]),
        "may_sign": may_sign(found, request.member.player_ids),
    }
    return render(request, "notes/monitors/mix.html", context)


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    """All versions; ?from= and ?to= name two of them that are compared."""
    found = find_mix(request, mix_id)
    first, last = (whole_number(request.GET.get(name)) for name in ("from", "to"))
    context: dict[str, Any] = {}
    if first is not None and last is not None:
        numbers = {each: min(max(each, 1), found.version) for each in (first, last)}
        first, last = numbers[first], numbers[last]
        context["compared"] = in_words(
            state_at(found, first),
            state_at(found, last),
            Known(request.production.pk).name,
            names_of_players(request.production.pk),
        )
    context |= {
        "mix": found,
        "versions": MixVersion.objects.filter(mix=found).defer("state"),
        "first": first or max(found.version - 1, 1),
        "last": last or found.version,
        "is_compared": "compared" in context,
        "active_nav": "rigs",
    }
    return render(request, "notes/monitors/history.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_MIX)
def new(request: ProductionRequest) -> HttpResponse:
    form = _form(request, MixState(), 0)
    if form.is_valid():
        try:
            made = create(request.production, form.wanted(), by=request.user)
        except MixRefused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("“{made}” is written down.").format(made=made))
            return redirect(made)
    return _page(request, form, _("New mix"), within(request, "notes:mixes"))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_MIX)
def edit(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    """What others changed since the page was made is brought together with what was typed."""
    found = find_mix(request, mix_id)
    base = whole_number(request.POST.get("version")) if request.method == "POST" else found.version
    try:
        form = _form(request, state_at(found, base or 0), base or 0)
        if form.is_valid():
            words = change(found, form.wanted(), base=base or 0, by=request.user)
            messages.success(request, " ".join(words) if words else _("The mix is as it was."))
            return redirect(found)
    except MixConflict as conflict:
        form.ask(conflict, names_of_players(request.production.pk))
    except MixRefused as refused:
        form.refuse(refused)
    except ValidationError as refused_whole:
        messages.error(request, " ".join(refused_whole.messages))
        return redirect(found)
    return _page(request, form, str(found), found.get_absolute_url(), found)


def _form(request: ProductionRequest, base: MixState, version: int) -> MixForm:
    data = request.POST if request.method == "POST" else None
    players = list(Player.objects.live().filter(production=request.production))
    return MixForm(Known(request.production.pk), players, base, version, data)


def _page(
    request: ProductionRequest,
    form: MixForm,
    heading: str,
    back: str,
    found: MonitorMix | None = None,
) -> HttpResponse:
    context = {
        "form": form,
        "heading": heading,
        "cancel_url": back,
        "mix": found,
        "caution": HEARING,
        "active_nav": "rigs",
    }
    status = 409 if form.conflict else 200
    return render(request, "notes/monitors/edit.html", context, status=status)


@require_POST
@production_view(Action.EDIT_MIX)
def retire(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    found = find_mix(request, mix_id)
    return retire_or_restore(request, found, within(request, "notes:mixes"))


@require_safe
@production_view(Action.READ)
def paper(request: ProductionRequest) -> HttpResponse:
    """A page for each mix; ?mix= prints one. A4, or Letter by ?paper=us-letter."""
    entries = all_shown(request.production)
    if asked := request.GET.get("mix"):
        entries = [each for each in entries if str(each.mix.pk) == asked]
    sheet = mixes_pdf(request.production, entries, paper=paper_of(request))
    return pdf(request, sheet, _("Monitor mixes"))
