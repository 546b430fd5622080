"""The choice between dark, light and the device's own colours, kept for whoever is logged in and on
the device."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from core.access.views import public
from core.device_choices import keep_on_device
from core.models import User
from core.themes import COOKIE, THEMES


@public  # the log-in page and one-time links can be read in the light, too
@csrf_exempt  # a colour is all it sets; and pages with no-referrer send no origin to check
@require_POST
def theme(request: HttpRequest) -> HttpResponse:
    chosen = request.POST.get("theme", "")
    if chosen not in THEMES:
        return HttpResponseBadRequest(
            _("Choose dark, light or auto."), content_type="text/plain; charset=utf-8"
        )
    if request.user.is_authenticated:
        User.objects.filter(pk=request.user.pk).update(theme=chosen)
    if request.headers.get("X-Requested-With") == "fetch":
        response = HttpResponse(status=204)
    else:
        response = redirect(way_back(request))
    keep_on_device(response, COOKIE, chosen)
    return response


def way_back(request: HttpRequest) -> str:
    """The page on which the choice was made."""
    url = request.POST.get("next", "")
    # Only within this site: the address is typed into the page and could be anything.
    safe = url_has_allowed_host_and_scheme(
        url, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return url if safe else "core:home"
