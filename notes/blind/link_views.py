"""A player's one-time link to a blind trial: the same rounds on a phone, without an account."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, private, production_view, public
from core.languages.choice import read_link_in
from core.languages.words import told
from core.links import LinkClosed
from core.numbers import whole_number
from notes.blind import invitations, services
from notes.blind.forms import SOUNDS, BlindAnswerForm, InvitationForm
from notes.blind.on_record import playing
from notes.blind.views import find_blind, sound_response
from notes.models import BlindInvitation, BlindSitting


@require_POST
@never_cache  # the answer holds a link that must not be kept anywhere
@production_view(Action.RUN_TRIAL)
def ask(request: ProductionRequest, **found: Any) -> HttpResponse:
    """Make the link and show it. No redirect: it cannot be shown on another page, because only its
    digest is stored."""
    blind = find_blind(request, found["blind_id"])
    form = InvitationForm(request.POST, production=request.production)
    asked = form.try_ask(
        blind,
        request.user,
        lambda token: request.build_absolute_uri(reverse("notes:blind_link", args=[token])),
    )
    context = {"blind": blind, "form": form, "asked": asked, "active_nav": "trials"}
    if asked is not None:
        context["again"] = {"player": str(asked.invitation.player_id)}
    status = 200 if asked else 400
    return render(request, "notes/blind/asked.html", context, status=status)


@public  # the link itself is the key, and its holder has no account
@csrf_exempt  # no cookie gives any right here; and with no-referrer a browser sends no origin
@never_cache
@private
@require_http_methods(["GET", "HEAD", "POST"])
def listen(request: HttpRequest, token: str) -> HttpResponse:
    """What a listener reads first; then the round that waits for an answer; then the result."""
    form, error = BlindAnswerForm(), ""
    try:
        asked = invitations.look_up(token)
        read_link_in(request, asked.link.language)
        if request.method == "POST":
            form, done = _sent(request, token)
            if done is not None:
                return _after(request, token, asked, done)
    except LinkClosed:
        # One answer for used, withdrawn, expired and never made, so that guessing teaches nothing.
        return render(request, "notes/signing/closed.html", status=404)
    except ValidationError as refused:
        error = " ".join(refused.messages)
    return _round(request, token, asked, form, error)


def _sent(request: HttpRequest, token: str) -> tuple[BlindAnswerForm, BlindSitting | None]:
    """Begin, or take an answer; without the sitting, the form has errors."""
    if "begin" in request.POST:
        return BlindAnswerForm(), invitations.begin(token)
    form = BlindAnswerForm(request.POST)
    number = whole_number(request.POST.get("number"))
    if not form.is_valid():
        return form, None
    try:
        return form, invitations.answer(token, number=number or 0, **form.cleaned_data)
    except ValidationError as error:
        form.add_error(None, error)
        return form, None


def _after(
    request: HttpRequest, token: str, asked: BlindInvitation, sitting: BlindSitting
) -> HttpResponse:
    result = services.result_of(sitting)
    if result is None:
        return redirect("notes:blind_link", token)
    context = {"asked": asked, "blind": asked.blind, "sitting": sitting, "result": result}
    return render(request, "notes/blind/link_done.html", context)


def _round(
    request: HttpRequest, token: str, asked: BlindInvitation, form: BlindAnswerForm, error: str
) -> HttpResponse:
    sitting, blind = invitations.sitting_of(asked), asked.blind
    number = sitting.answers.count() + 1 if sitting else 0
    context: dict[str, Any] = {
        "asked": asked,
        "blind": blind,
        "sitting": sitting,
        "playing": told(playing(blind)),
        "form": form,
        "error": error,
        "number": number,
        "rounds": blind.rounds,
        "sounds": [
            (
                label,
                words,
                reverse("notes:blind_link_sound", args=[token, number, label]),
            )
            for label, words in SOUNDS
        ],
    }
    status = 400 if error or form.errors else 200
    return render(request, "notes/blind/link.html", context, status=status)


@public  # the link itself is the key: it opens the sounds of this one sitting, while it is open
@private
@require_safe
def sound(request: HttpRequest, token: str, number: int, label: str) -> HttpResponse:
    try:
        sitting = invitations.sitting_of(invitations.look_up(token))
    except LinkClosed:
        raise Http404(_("There is no such sound.")) from None
    return sound_response(request, sitting, number, label)
