"""A player's one-time link: their rig on a phone, without an account."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from core.access.views import private, public
from core.languages.choice import read_link_in
from core.links import LinkClosed
from notes.clips.ranges import copy_response, file_response
from notes.comparing.matched import wav_of
from notes.models import Party, SignOff, SignRequest
from notes.places import CLIP_TO_SIGN
from notes.signing import requests
from notes.signing.beside import PLACES, both_sounds
from notes.signing.copy import copy_of
from notes.signing.forms import Decision, SignOffForm
from notes.signing.services import MovedOn
from notes.signing.since import since_revision
from rigs.models import StoredPhoto
from rigs.paper.responses import paper_of, pdf_named
from rigs.photos.serve import picture_response
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
    return _clip_to_sign(request, token, "preview")


@public  # as above: the same clip for browsers that cannot decode the small copy
@private
@require_safe
def signature_instead(request: HttpRequest, token: str) -> HttpResponseBase:
    return _clip_to_sign(request, token, "working")


def _clip_to_sign(request: HttpRequest, token: str, copy: str) -> HttpResponseBase:
    try:
        clip = requests.look_up(token).clip
    except LinkClosed:
        raise Http404(_("There is no such clip.")) from None
    if clip is None:
        raise Http404(_("There is no clip to sign."))
    response = copy_response(request, clip, copy)
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


@public  # the link itself is the key: it opens the photos of what is signed, while it is open
@private
@require_safe
def signature_photo(request: HttpRequest, token: str, photo_id: UUID) -> HttpResponseBase:
    """A photo of the rig as it was when the link was made; with `?size=thumb` the small one."""
    try:
        asked = requests.look_up(token)
    except LinkClosed:
        raise Http404(_("There is no such photo.")) from None
    part = read.as_of(asked.rig, asked.revision.number).get(str(photo_id), {})
    if part.get("kind") != "photo":
        raise Http404(_("There is no such photo."))
    image = get_object_or_404(StoredPhoto, pk=part["image"], production=asked.rig.production_id)
    response = picture_response(request, image, str(part.get("caption", "")))
    response["Cache-Control"] = "private, no-store"
    return response


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
    name = f"{slugify(f'{made.rig} {made.name}')}.pdf"
    response = pdf_named(name, copy_of(made, paper=paper_of(request)))
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
    view = snapshot_view(
        rig,
        read.as_of(rig, number),
        before=None if earlier is None else read.as_of(rig, earlier),
    )
    return {
        "asked": asked,
        "clip_url": reverse("notes:signature_sound", args=[token]),
        "clip_instead_url": reverse("notes:signature_instead", args=[token]),
        "rig": rig,
        "rig_view": view,
        "photos": [
            (each, reverse("notes:signature_photo", args=[token, each.id]))
            for each in view.all_photos()
        ],
        "forms": forms,
        "before": before,
        "beside": both_sounds(asked, before) is not None,
        "clip_to_sign": CLIP_TO_SIGN.first(asked.clip),
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
