"""One's own key to the API."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from core.access.views import signed_in
from core.services import tokens
from core.sign_in import confirming


@require_http_methods(["GET", "POST"])
@never_cache  # the answer to a POST may hold a key that must not be kept anywhere
@signed_in
def token(request: Any) -> HttpResponse:
    if request.method == "POST" and "revoke" in request.POST:
        if tokens.revoke(request.user):
            messages.success(
                request, _("The API key is deleted. Programs that used it have lost access.")
            )
        return redirect("core:token")
    if request.method == "POST" and not confirming.is_confirmed(request):
        return redirect(confirming.address(request.path))
    made = tokens.make(request.user) if request.method == "POST" else None
    # No redirect after making one: the key is shown on this answer and on no other.
    context = {
        "made": made,
        "held": tokens.held(request.user),
        "api_url": request.build_absolute_uri(reverse("api-productions")),
    }
    return render(request, "core/token.html", context)
