"""What stores pages on a device: the worker, who is here, and the pages about what is stored."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from core.access.views import public, signed_in
from core.languages import scripts as words
from core.languages.choice import tag_of
from core.models import Membership
from core.telephone.kinds import PICTURE_ENDINGS, SOUND_ENDINGS

WORKER = (
    "words",
    "store",
    "drafts",
    "incoming",
    "keep",
    "serve",
    "guest",
    "pieces",
    "queue",
    "main",
)  # in the order they are read


@public  # code and words only; it keeps nothing of whoever is not signed in
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Names the worker's parts by their hashed addresses, what it says before them: a new release
    is a new worker, and so is another language."""
    addresses = [words.address(), *(static(f"core/worker/{name}.js") for name in WORKER)]
    parts = ", ".join(json.dumps(each) for each in addresses if each)
    said = {
        "STATIC": settings.STATIC_URL,
        "LANGUAGE": tag_of(translation.get_language()),
        "MOST_BYTES": {"picture": settings.PHOTO_MAX_BYTES, "sound": settings.CLIP_MAX_BYTES},
        "ENDINGS": {"picture": PICTURE_ENDINGS, "sound": SOUND_ENDINGS},
    }
    text = f"Object.assign(self, {json.dumps(said)});\nimportScripts({parts});\n"
    response = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    # Asked for each time, so that a new release reaches devices at their next visit.
    response.headers["Cache-Control"] = "no-cache"
    patch_vary_headers(response, ("Accept-Language", "Cookie"))
    response.headers["Service-Worker-Allowed"] = "/"
    return response


@public  # a worker has to learn that nobody is signed in any more
@never_cache
@require_safe
def who(request: Any) -> JsonResponse:
    """Who is signed in, where they are members, and a token to send forms with."""
    if not request.user.is_authenticated:
        return JsonResponse({"user": None, "productions": [], "token": ""})
    held = Membership.objects.filter(user=request.user).order_by().values_list("production")
    return JsonResponse(
        {
            "user": str(request.user.pk),
            "productions": [str(pk) for (pk,) in held.distinct()],
            # Forms that waited on the device hold the token of a page that may be long outdated.
            "token": get_token(request),
        }
    )


@require_safe
@signed_in
def stored(request: HttpRequest) -> HttpResponse:
    return render(request, "core/offline/kept.html")


@require_safe
@signed_in
def waiting(request: HttpRequest) -> HttpResponse:
    return render(request, "core/offline/waiting.html")


@require_safe
@signed_in
def not_stored(request: HttpRequest) -> HttpResponse:
    """What the worker shows where it has nothing. Also an ordinary page, so that it can be kept."""
    return render(request, "core/offline/not_kept.html")
