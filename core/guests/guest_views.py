"""What somebody with a link sees. They have no account: the link itself is the key."""

from __future__ import annotations

from dataclasses import replace

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from core.access.guest import Guest
from core.access.views import private, public
from core.guests.cookies import knows_word, remember
from core.guests.gate import asked_of, guest_with, opened_by
from core.guests.kept import kept_by
from core.guests.links import TooManyTries, count_opening, is_word
from core.links import LinkClosed
from core.offline.once import not_remembered


@not_remembered  # wrong words are counted
@public  # the link itself is the key, and its holder has no account
@csrf_exempt  # no cookie gives any right without the link; with no-referrer there is no origin
@never_cache
@private
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, token: str, rest: str = "") -> HttpResponseBase:
    """The first page of what the link names, and what hangs below it."""
    try:
        guest = guest_with(token, request)
        if not knows_word(request, guest.link):
            return _word(request, guest)
        if not rest:
            sent = request.POST if request.method == "POST" else None
            asked = asked_of(guest, sent)
            if sent is not None and (asked is None or asked.is_done):
                return redirect(f"{guest.home}?sent" if asked else guest.home)
            guest = replace(guest, form=asked, is_sent="sent" in request.GET)
        elif request.method == "POST":
            raise Http404("Nothing is asked there.")
        answer = opened_by(request, guest, rest)
    except (LinkClosed, Http404):
        # One answer for withdrawn, expired, never made and not opened: guessing teaches nothing.
        return render(request, "core/guests/closed.html", status=404)
    if request.method == "GET" and not rest:
        count_opening(guest.link)
    return answer


def _word(request: HttpRequest, guest: Guest) -> HttpResponseBase:
    said = ""
    if request.method == "POST":
        try:
            if is_word(guest.link, request.POST.get("word", "")):
                response = redirect(guest.home)
                remember(response, request, guest.link, guest.home)
                return response
            said = _("That is not the word. Ask whoever gave you the link.")
        except TooManyTries:
            said = _("Wrong words were typed too often. Try again in a quarter of an hour.")
    context = {"guest": guest, "said": said}
    return render(request, "core/guests/word.html", context, status=403 if said else 200)


@public  # as above
@never_cache
@private
@require_safe
def keep(request: HttpRequest, token: str) -> HttpResponse:
    """What a guest's device keeps until the link ends, to be read without a network."""
    try:
        guest = guest_with(token, request)
    except LinkClosed:
        return JsonResponse({"closed": True}, status=404)
    if not knows_word(request, guest.link):
        return JsonResponse({"closed": True}, status=403)
    return JsonResponse(kept_by(guest))
