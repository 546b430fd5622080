"""A player's one-time link: their rig on a phone, without an account."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from core.access.views import private, public
from core.links import LinkClosed
from notes.clips.ranges import file_response
from notes.clips.storage import open_copy
from notes.models import Party, SignOff, SignRequest
from notes.signing import requests
from notes.signing.forms import Decision, SignOffForm
from notes.signing.services import MovedOn
from notes.signing.since import since_revision
from rigs.revisions import read
from rigs.wording import snapshot_view

T = TypeVar("T")


@public  # the link itself is the key, and its holder has no account
@csrf_exempt  # no cookie gives any right here; and with no-referrer a browser sends no origin
@never_cache
@private
@require_http_methods(["GET", "HEAD", "POST"])
def signature(request: HttpRequest, token: str) -> HttpResponse:
    try:
        asked = requests.look_up(token)
        forms = say_forms(request)
        made = answered(request, token, forms, requests.answer)
    except LinkClosed:
        # One answer for used, withdrawn, expired and never made, so that guessing teaches nothing.
        return render(request, "notes/signing/closed.html", status=404)
    # Nothing was signed. The page comes back with what was typed, and says that the rig has
    # changed.
    except MovedOn:
        asked, made = requests.look_up(token), None
    if made is not None:
        context = {"made": made, "rig": made.rig, "asked": asked}
        return render(request, "notes/signing/thanks.html", context)
    return render(request, "notes/signing/signature.html", _context(asked, forms, token))


@public  # the link itself is the key: it opens this one clip, and only while it is open
@private
@require_safe
def signature_sound(request: HttpRequest, token: str) -> HttpResponseBase:
    try:
        clip = requests.look_up(token).clip
        if clip is None:
            raise Http404("There is no clip to sign.")
        file, content_type, size = open_copy(clip, "preview")
    except LinkClosed:
        raise Http404("There is no such clip.") from None
    response = file_response(
        request, file, size, content_type=content_type, name="clip.m4a", etag=f'"{clip.preview}"'
    )
    # The link is spent one day: nothing is to outlive it.
    response["Cache-Control"] = "private, no-store"
    return response


def say_forms(request: HttpRequest) -> dict[str, SignOffForm]:
    sent = request.POST.get("decision")
    return {
        decision: SignOffForm(request.POST if decision == sent else None, decision=decision)
        for decision in Decision.values
    }


def answered(
    request: HttpRequest, token: str, forms: dict[str, SignOffForm], answer: Callable[..., T]
) -> T | None:
    """What `answer` put on record; None if nothing was sent, or something is missing."""
    form = forms.get(request.POST.get("decision", ""))
    if request.method != "POST" or form is None or not form.is_valid():
        return None
    try:
        return answer(token=token, decision=form.decision, words=form.cleaned_data["words"])
    except ValidationError as error:
        form.add_error(None, error)
        return None


def _context(asked: SignRequest, forms: dict[str, SignOffForm], token: str) -> dict[str, Any]:
    """The rig exactly as it was when the link was made."""
    rig, number = asked.rig, asked.revision.number
    before = _last_signed(asked)
    earlier = before.revision.number if before else None
    return {
        "asked": asked,
        "clip_url": reverse("notes:signature_sound", args=[token]),
        "rig": rig,
        "rig_view": snapshot_view(
            rig,
            read.as_of(rig, number),
            before=None if earlier is None else read.as_of(rig, earlier),
        ),
        "forms": forms,
        "before": before,
        "since": None if earlier is None else since_revision(rig, earlier, number),
        "moved_on": rig.head_number != number,
    }


def _last_signed(asked: SignRequest) -> SignOff | None:
    rows = SignOff.objects.filter(
        rig=asked.rig,
        party=Party.PLAYER,
        player=asked.player,
        decision=Decision.SIGNED,
        revision__number__lt=asked.revision.number,
    )
    return rows.select_related("revision").order_by("-at", "-pk").first()
