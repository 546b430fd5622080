"""Follow an invitation: look at it as often as you like, accept it once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from core.access.views import public
from core.forms.people import JoinForm
from core.links import LinkClosed
from core.models import LogIn, Production
from core.services.invitations import (
    AddressTaken,
    OpenInvitation,
    accept_as_new_person,
    accept_invitation,
    look_up,
)
from core.sign_in.entering import enter
from core.views.pages import posted


@public  # the link itself is the key, and its holder may have no account yet
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: Any, token: str) -> HttpResponse:
    try:
        offer = look_up(token)
        joined = _join(request, token, offer)
    except LinkClosed as closed:
        return render(request, "core/invitation_closed.html", {"why": str(closed)}, status=404)
    if isinstance(joined, Production):
        messages.success(request, _("Welcome to {joined}.").format(joined=joined))
        return redirect(joined)
    return render(request, "core/invitation.html", {"offer": offer, "form": joined})


def _join(request: HttpRequest, token: str, offer: OpenInvitation) -> Production | JoinForm | None:
    """The production that was joined; else the form to show, which a known person needs not."""
    if request.user.is_authenticated:
        known = request.method == "POST"
        return accept_invitation(token=token, user=request.user) if known else None
    form = JoinForm(posted(request), initial={"email": offer.link.details.get("email", "")})
    if not form.is_valid():
        return form
    try:
        user, production = accept_as_new_person(token=token, **form.cleaned_data)
    except AddressTaken as taken:
        form.add_error("email", str(taken))
        return form
    enter(request, user, by=LogIn.By.LINK, is_new=True)
    return production
