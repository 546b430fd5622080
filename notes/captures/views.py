"""Measure two clips of one source: upload both, measure, look, save, apply."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import told
from core.numbers import whole_number
from core.offline.once import long_running
from core.views.pages import form_page, posted
from notes.captures import store
from notes.captures.forms import BothForm, PairForm
from notes.captures.measure import CannotMeasure, Measured, in_a_sentence, measure
from notes.captures.propose import apply, proposals
from notes.listening.relation import METHOD
from notes.models import CapturePair, Clip
from notes.queries import rigs_of
from rigs.checks.pictures import CombPicture
from rigs.drawing.plots import draw
from rigs.models import Rig
from rigs.revisions.record import Conflict

SHOWN = 12  # kept measurements below the form
SAVE = "keep"


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def captures(request: ProductionRequest) -> HttpResponse:
    """`?first=&second=` name the clips; a POST saves what was measured, or applies a proposal."""
    asked = request.GET if request.GET.get("first") and request.GET.get("second") else None
    form = PairForm(asked, production=request.production, initial=request.GET.dict())
    measured, why_not = _measured(request)
    if request.method == "POST":
        return _done(request, measured)
    context = {
        "form": form,
        "measured": measured,
        "why_not": why_not,
        "active_nav": "clips",
        "proposals": proposals(measured) if measured else {},
        "combs": _combs(measured) if measured and measured.is_certain and measured.is_apart else [],
        "pairs": [_line(pair) for pair in store.pairs(request.production)[:SHOWN]],
        "saved": _saved(request, measured),
        "rigs": rigs_of(request.production),
    }
    return render(request, "notes/captures/captures.html", context)


@long_running
@require_http_methods(["GET", "POST"])
@production_view(Action.WRITE_NOTE)
def upload(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """Upload both tracks at once, and go on to what is measured of them."""
    rig: Rig = get_object_or_404(
        Rig.objects.select_related("production", "player"), pk=rig_id, production=request.production
    )
    form = BothForm(posted(request), request.FILES or None, rig=rig, by=request.user)
    brought = form.try_upload() if form.is_bound else None
    if brought:
        return redirect(address_of(*brought))
    return form_page(
        request,
        form,
        heading=_("Upload a DI and a mic track"),
        submit=_("Upload both and measure"),
        cancel_url=reverse("notes:captures", args=[request.production.pk]),
        active_nav="clips",
        lede=(
            _(
                "{rig}: two tracks that were recorded together, as a recorder or a desk wrote "
                "them. A few seconds with several notes or strokes serve best."
            ).format(rig=rig)
        ),
    )


@require_POST
@production_view(Action.EDIT_RIG)
def take_back(request: ProductionRequest, pair_id: UUID) -> HttpResponse:
    pair = get_object_or_404(CapturePair, pk=pair_id, production=request.production)
    store.take_back(pair, by=request.user)
    messages.success(request, _("Removed. The checks of the rig no longer use it."))
    return redirect("notes:captures", request.production.pk)


def _measured(request: ProductionRequest) -> tuple[Measured | None, str]:
    ids = [request.GET.get(name, "") for name in ("first", "second")]
    if not all(ids):
        return None, ""
    try:
        keys = [UUID(each) for each in ids]
    except ValueError:
        raise Http404(_("There is no such clip.")) from None
    clips = Clip.objects.filter(production=request.production, pk__in=keys).select_related(
        "sound",
        "rig__production",
        "rig__player",
        "input__device",
        "revision",
        "production__rehearsal_room",
        "tried_as__alternative",
    )
    by_id = {clip.pk: clip for clip in clips}
    if not all(key in by_id for key in keys):
        raise Http404(_("There is no such clip."))
    try:
        behind = bool(request.GET.get("through_desk"))
        return measure(by_id[keys[0]], by_id[keys[1]], through_desk=behind), ""
    except CannotMeasure as error:
        return None, str(error)


def _saved(request: ProductionRequest, measured: Measured | None) -> CapturePair | None:
    if measured is None:
        return None
    there = store.pairs(request.production).filter(
        first=measured.first, second=measured.second, through_desk=measured.through_desk
    )
    return there.first()


def _line(pair: CapturePair) -> dict[str, Any]:
    words = told(in_a_sentence(pair.first, pair.second, pair.delay_s, pair.polarity))
    old = pair.method != METHOD  # a later one may refuse what this one was sure of
    return {"pair": pair, "words": words[0].upper() + words[1:], "old": old}


def _combs(measured: Measured) -> list[tuple[str, SafeString]]:
    """The comb filters of the two as they are, and with the polarity of one reversed."""
    seconds = abs(measured.delay_s)
    ways = (
        (_("As they are now"), measured.inverted),
        (_("One turned over"), not measured.inverted),
    )
    return [(words, _svg(draw(CombPicture(seconds, 0.0, way)))) for words, way in ways]


def _svg(drawn: str) -> SafeString:
    return mark_safe(drawn)  # noqa: S308 - made by rigs.drawing, everything escaped


def _done(request: ProductionRequest, measured: Measured | None) -> HttpResponse:
    here, what = request.get_full_path(), request.POST.get("what", "")
    base = whole_number(request.POST.get("base"))
    if measured is None or (base is None and what != SAVE):
        messages.warning(request, _("Pick the two clips first."))
        return redirect(here)
    try:
        if what == SAVE:
            store.save_pair(measured, by=request.user)
            messages.success(request, _("Saved. The checks of the rig use it from now on."))
            return redirect(here)
        made = apply(measured, what, by=request.user, base=base or 0)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect(here)
    except Conflict:
        messages.warning(request, _("Someone else changed this input meanwhile. Look again first."))
        return redirect(here)
    messages.success(
        request,
        _("Change {number} is made. Listen again and say how it turned out.").format(
            number=made.number
        ),
    )
    return redirect("rigs:revision", request.production.pk, made.rig_id, made.number)


def address_of(first: Clip, second: Clip, *, through_desk: bool = False) -> str:
    """The page that measures these two."""
    asked: dict[str, Any] = {"first": first.pk, "second": second.pk}
    asked |= {"through_desk": "on"} if through_desk else {}
    return f"{reverse('notes:captures', args=[first.production_id])}?{urlencode(asked)}"
