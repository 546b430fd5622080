"""The choice of a language, kept for whoever is logged in and on the device."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from core.access.views import public
from core.device_choices import keep_on_device
from core.languages.choice import NAMES
from core.models import User
from core.views.theme import way_back


@public  # log-in page, one-time links and guest pages are read in any language, too
@csrf_exempt  # a language is all it sets; and pages with no-referrer send no origin to check
@require_POST
def language(request: HttpRequest) -> HttpResponse:
    chosen = request.POST.get("language", "")
    if chosen not in NAMES:
        listed = ", ".join(NAMES)
        return HttpResponseBadRequest(
            _("Choose one of {listed}.").format(listed=listed),
            content_type="text/plain; charset=utf-8",
        )
    if request.user.is_authenticated:
        User.objects.filter(pk=request.user.pk).update(language=chosen)
    response = redirect(way_back(request))
    keep_on_device(response, settings.LANGUAGE_COOKIE_NAME, chosen)
    return response
