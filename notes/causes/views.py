"""A clip against the signed sound: what differs, what it may be, and how that turned out."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action, allowed
from core.access.views import ProductionRequest, production_view
from core.languages.dates import day
from core.languages.words import told
from core.stored_files import StoredFileUnreadable
from core.views.pages import posted
from notes.causes import picture, words
from notes.causes.forms import OutcomeForm
from notes.causes.kinds import ALL
from notes.causes.retold import cause_told
from notes.causes.signed import NoSignedSound, Tonight, against_signed
from notes.causes.taken_up import named_for, named_in, take_up, tallies
from notes.comparing.shown import listening, svg
from notes.comparing.sides import CannotCompare, side_by_side
from notes.models import Clip, NamedCause
from notes.paging import page
from notes.queries import clips_of

SHOWN = 5  # causes; the others have hardly anything of the evidence
STAND_OUT = 2  # causes that are shown whatever their share
LABELS = {kind.key: kind.label for kind in ALL}


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.WRITE_NOTE)
def clip_changed(request: ProductionRequest, clip_id: UUID) -> HttpResponse:
    """GET shows; a POST with `cause` takes that one up, and `then` goes on to a trial or change."""
    clip: Clip = get_object_or_404(clips_of(request.production), pk=clip_id)
    context: dict[str, Any] = {"clip": clip, "active_nav": "clips"}
    try:
        tonight = against_signed(clip)
    except (NoSignedSound, StoredFileUnreadable) as refusal:
        return render(request, "notes/causes/changed.html", context | {"refused": str(refusal)})
    if request.method == "POST":
        return _taken_up(request, tonight)
    return render(request, "notes/causes/changed.html", context | _shown(tonight))


def _taken_up(request: ProductionRequest, tonight: Tonight) -> HttpResponse:
    try:
        named = take_up(tonight, request.POST.get("cause", ""), by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(request.path)
    messages.success(request, _("Written down. When you know whether it was that, say so."))
    return redirect(_next(request, named))


def _next(request: ProductionRequest, named: NamedCause) -> str:
    """The page that goes on: a trial or a change with what is known filled in, or the cause."""
    place, clip, roles = request.production.pk, named.clip, request.member.roles
    how = request.POST.get("then")
    if how == "trial" and allowed(roles, Action.RUN_TRIAL):
        url = reverse("notes:trial_new", args=[place, clip.rig_id, clip.input_id])
        question = _("Is it this? {cause}").format(cause=cause_told(named.words))[:200]
        return f"{url}?{urlencode({'note': str(named.note_id), 'question': question})}"
    if how == "change" and allowed(roles, Action.EDIT_RIG):
        given = urlencode(
            {
                "why": _("Could be: {cause}.").format(cause=cause_told(named.words)),
                "before": str(clip.pk),
            }
        )
        fields = next((kind.fields for kind in ALL if kind.key == named.kind), ())
        if any(part == "input" for part, _field in fields):
            url = reverse("notes:note_change_input", args=[place, named.note_id, clip.input_id])
        else:
            url = reverse("notes:note_change", args=[place, named.note_id])
        return f"{url}?{given}"
    return named.get_absolute_url()


def _shown(tonight: Tonight) -> dict[str, Any]:
    ranking, clips = tonight.ranking, [tonight.signed, tonight.clip]
    counted = tallies(tonight.clip.production)
    taken_up = {each.kind: each for each in named_for(tonight.clip, tonight.sign_off)}
    context: dict[str, Any] = {
        "tonight": tonight,
        "headline": words.headline(ranking),
        "scatter": words.scatter(
            ranking.scatter, day(tonight.kept.measured_at) if tonight.kept else ""
        ),
        "differences": [told(each) for each in words.differences(ranking)],
        "causes": [
            {
                "cause": each,
                "named": told(words.named(each)),
                "tells": told(each.tells),
                "interval": words.interval(each),
                "verdict": words.verdict(each),
                "share": words.share(each.share),
                # The others are folded away.
                "stands_out": at < STAND_OUT or each.verdict != "hardly",
                "explains": round(100 * each.explains),
                "tally": counted[each.key].words if each.key in counted else "",
                "taken_up": taken_up.get(each.key),
                "fitting": tonight.history.fitting.get(each.key, ()),
            }
            for at, each in enumerate(ranking.causes[:SHOWN])
        ],
        "drawn": svg(picture.difference(ranking)),
        "compare_url": reverse("notes:compare", args=[tonight.clip.production_id]),
    }
    try:
        return context | listening(clips, side_by_side(clips))
    except CannotCompare as refusal:
        return context | {"unheard": str(refusal)}


@require_safe
@production_view(Action.READ)
def causes(request: ProductionRequest) -> HttpResponse:
    """What was taken up in this production, and how often which kind was it."""
    rows = named_in(request.production).select_related("clip__rig__player", "clip__input")
    counted = tallies(request.production)
    context = {
        "page": page(rows, request.GET, by="at", size=25),
        "tallies": [
            (told(LABELS.get(kind, kind)), tally)
            for kind, tally in sorted(counted.items(), key=lambda pair: -pair[1].said)
        ],
        "active_nav": "clips",
    }
    return render(request, "notes/causes/causes.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.WRITE_NOTE)
def cause(request: ProductionRequest, cause_id: UUID) -> HttpResponse:
    """One cause that was taken up: how it turned out, and who said so before."""
    rows = named_in(request.production).select_related(
        "clip__rig__player", "clip__input", "note", "sign_off"
    )
    named: NamedCause = get_object_or_404(rows, pk=cause_id)
    form = OutcomeForm(posted(request), cause=named, by=request.user)
    if form.is_bound and form.try_say():
        messages.success(request, _("How it turned out is on record."))
        return redirect(named)
    context = {
        "named": named,
        "form": form,
        "outcomes": list(named.outcomes.all()),
        "evidence": words.share(named.share),
        "active_nav": "clips",
    }
    status = 400 if form.errors else 200
    return render(request, "notes/causes/cause.html", context, status=status)
