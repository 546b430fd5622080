"""Blind trials: open one, listen round by round, see what came of it."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import told
from core.numbers import whole_number
from core.stored_files import StoredFileUnreadable
from core.views.pages import form_page, posted
from notes.blind import services
from notes.blind.forms import SOUNDS, BlindAnswerForm, BlindForm, InvitationForm
from notes.blind.on_record import playing
from notes.blind.results import results_of
from notes.blind.sound import apart_words, wav_of
from notes.models import BlindSitting, BlindTrial, Trial


@require_http_methods(["GET", "POST"])
@production_view(Action.RUN_TRIAL)
def new(request: ProductionRequest, trial_id: UUID) -> HttpResponse:
    trial = get_object_or_404(
        Trial.objects.select_related("production", "input"),
        pk=trial_id,
        production=request.production,
    )
    form = BlindForm(posted(request), trial=trial, by=request.user)
    opened = form.try_open() if form.is_bound else None
    if opened:
        return redirect(opened)
    return form_page(
        request,
        form,
        heading=_("Listen blind"),
        submit=_("Open it"),
        active_nav="trials",
        cancel_url=trial.get_absolute_url(),
        template="notes/blind/new.html",
        trial=trial,
        too_few=form.too_few,
        lede=(
            _(
                "Two clips of {input} at the same loudness, without their names. Each listener "
                "plays them on their own phone. Clips of one performance are best."
            ).format(input=trial.input)
        ),
    )


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, blind_id: UUID) -> HttpResponse:
    blind = find_blind(request, blind_id)
    now = results_of(blind, request.user)
    judged = now.judged_by_sitting()
    context = {
        "blind": blind,
        "now": now,
        "listening": [(each, judged.get(each.pk)) for each in now.sittings],
        "all": now.judgement.together if now.judgement else None,
        "playing": told(playing(blind)),
        "apart": told(apart_words(blind)),
        "ask_form": InvitationForm(production=request.production),
        "active_nav": "trials",
    }
    return render(request, "notes/blind/blind.html", context)


@require_POST
@production_view(Action.LISTEN_BLIND)
def begin(request: ProductionRequest, blind_id: UUID) -> HttpResponse:
    blind = find_blind(request, blind_id)
    try:
        services.begin(blind=blind, by=request.user)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect(blind)
    return redirect("notes:blind_round", request.production.pk, blind.pk)


@require_http_methods(["GET", "POST"])
@production_view(Action.LISTEN_BLIND)
def round_(request: ProductionRequest, blind_id: UUID) -> HttpResponse:
    """The next round that waits for an answer."""
    sitting = _sitting(request, blind_id)
    number = sitting.answers.count() + 1 if sitting else 0
    if sitting is None or number > len(sitting.order):
        return redirect("notes:blind", request.production.pk, blind_id)
    form = BlindAnswerForm(posted(request))
    if form.is_valid():
        # The round of the page that was sent, which may be one that is answered already.
        sent = whole_number(request.POST.get("number"))
        try:
            services.answer(
                sitting=sitting, number=number if sent is None else sent, **form.cleaned_data
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return redirect("notes:blind_round", request.production.pk, blind_id)
    context = {
        "blind": sitting.blind,
        "sitting": sitting,
        "form": form,
        "number": number,
        "rounds": len(sitting.order),
        "active_nav": "trials",
        "sounds": [
            (
                label,
                words,
                reverse("notes:blind_sound", args=[request.production.pk, blind_id, number, label]),
            )
            for label, words in SOUNDS
        ],
    }
    return render(request, "notes/blind/round.html", context, status=400 if form.errors else 200)


@require_safe
@production_view(Action.LISTEN_BLIND)
def sound(request: ProductionRequest, blind_id: UUID, number: int, label: str) -> HttpResponse:
    """One sound of the listener's round. Every header is the same for every sound, but for
    the number of the request, which is drawn before the sound is looked up."""
    sitting = _sitting(request, blind_id)
    return sound_response(request, sitting, number, label)


def sound_response(
    request: HttpRequest, sitting: BlindSitting | None, number: int, label: str
) -> HttpResponse:
    """Raises Http404 for a round or label that there is none of, StoredFileUnreadable."""
    if sitting is None or not 1 <= number <= len(sitting.order):
        raise Http404(_("There is no such round."))
    try:
        body = wav_of(sitting, number, label)
    except KeyError:
        raise Http404(_("There is no such sound.")) from None
    except StoredFileUnreadable as error:  # which of the two it is would tell
        raise StoredFileUnreadable(_("The sound of one of the two clips"), error.why) from None
    request.META.pop("HTTP_ACCEPT_ENCODING", None)  # packed, sizes would tell
    response = HttpResponse(body, content_type="audio/wav")
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response


@require_POST
@production_view(Action.RUN_TRIAL)
def close(request: ProductionRequest, blind_id: UUID) -> HttpResponse:
    blind = find_blind(request, blind_id)
    try:
        services.close(blind=blind, by=request.user)
        messages.success(request, _("The outcome is on record with the trial."))
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    return redirect(blind)


def find_blind(request: ProductionRequest, blind_id: UUID) -> BlindTrial:
    trials = BlindTrial.objects.select_related(
        "trial__input", "trial__rig", "clip_a__sound", "clip_b__sound", "opened_by", "closed_by"
    )
    return get_object_or_404(trials, pk=blind_id, production=request.production)


def _sitting(request: ProductionRequest, blind_id: UUID) -> BlindSitting | None:
    sittings = BlindSitting.objects.select_related(
        "blind__trial", "blind__clip_a__sound", "blind__clip_b__sound"
    )
    return sittings.filter(
        blind=blind_id, user=request.user, blind__production=request.production
    ).first()
