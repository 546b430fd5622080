"""A player's one-time link: their rig on a phone, without an account."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from core.access.views import private, public
from core.languages.choice import read_link_in
from core.links import LinkClosed
from notes.clips.ranges import file_response
from notes.clips.storage import open_copy
from notes.comparing.matched import wav_of
from notes.models import Party, SignOff, SignRequest
from notes.signing import requests
from notes.signing.beside import PLACES, both_sounds
from notes.signing.copy import copy_of
from notes.signing.forms import Decision, SignOffForm
from notes.signing.services import MovedOn
from notes.signing.since import since_revision
from rigs.paper.responses import paper_of, pdf_named
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
        read_link_in(request, asked.link.language)
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
        copy_url = reverse("notes:signature_copy", args=[token])
        context = {"made": made, "rig": made.rig, "asked": asked, "copy_url": copy_url}
        return render(request, "notes/signing/thanks.html", context)
    return render(request, "notes/signing/signature.html", _context(asked, forms, token))


@public  # the link itself is the key: it opens this one clip, and only while it is open
@private
@require_safe
def signature_sound(request: HttpRequest, token: str) -> HttpResponseBase:
    try:
        clip = requests.look_up(token).clip
        if clip is None:
            raise Http404(_("There is no clip to sign."))
        file, content_type, size = open_copy(clip, "preview")
    except LinkClosed:
        raise Http404(_("There is no such clip.")) from None
    response = file_response(
        request, file, size, content_type=content_type, name="clip.m4a", etag=f'"{clip.preview}"'
    )
    # The link is spent one day: nothing is to outlive it.
    response["Cache-Control"] = "private, no-store"
    return response


def _matched(request: HttpRequest, token: str, place: int) -> HttpResponseBase:
    """One of the two sounds, as loud as the other and in step with it."""
    try:
        asked = requests.look_up(token)
    except LinkClosed:
        raise Http404(_("There is no such sound.")) from None
    both = both_sounds(asked, _last_signed(asked))
    if both is None:
        raise Http404(_("There is no such sound."))
    body = wav_of(both, both.sides[place])
    response = file_response(
        request,
        ContentFile(body),
        len(body),
        content_type="audio/wav",
        name=f"{PLACES[place]}.wav",
        etag=f'"{sha256(body).hexdigest()}"',
    )
    response["Cache-Control"] = "private, no-store"
    return response


@public  # as above: the sound that was signed before, while the link is open
@private
@require_safe
def signature_then(request: HttpRequest, token: str) -> HttpResponseBase:
    return _matched(request, token, 0)


@public  # as above
@private
@require_safe
def signature_now(request: HttpRequest, token: str) -> HttpResponseBase:
    return _matched(request, token, 1)


@public  # the link itself is the key; once used it opens what its holder said, and nothing else
@private
@require_safe
def signature_copy(request: HttpRequest, token: str) -> HttpResponseBase:
    """What was said with the link, and the rig it was said of, on paper to keep."""
    try:
        made = requests.answered_with(token)
    except LinkClosed:
        raise Http404(_("There is no copy.")) from None
    read_link_in(request, requests.language_of(token))
    address = request.build_absolute_uri(made.rig.get_absolute_url())
    made_copy = copy_of(made, address=address, paper=paper_of(request))
    response = pdf_named(f"{slugify(f'{made.rig} {made.name}')}.pdf", made_copy)
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
        "beside": both_sounds(asked, before) is not None,
        "then_url": reverse("notes:signature_then", args=[token]),
        "now_url": reverse("notes:signature_now", args=[token]),
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
    whole = rows.select_related("revision", "clip__sound", "clip__input")
    return whole.order_by("-at", "-pk").first()
