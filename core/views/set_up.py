"""Follow the set-up link of a new server: look at it as often as you like, use it once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from core.access.views import public
from core.forms.set_up import SetUpForm
from core.links import LinkClosed
from core.models import LogIn
from core.services import first_person
from core.sign_in.entering import enter
from core.views.pages import posted


@public  # the link itself is the key, and its holder has no password yet
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def set_up(request: Any, uidb64: str, token: str) -> HttpResponse:
    try:
        person = first_person.look_up(uidb64, token)
        form = SetUpForm(posted(request), person=person)
        if not form.is_valid():
            return render(request, "core/set_up.html", {"person": person, "form": form})
        person, production = first_person.set_up(
            key=uidb64,
            token=token,
            password=form.cleaned_data["password"],
            production=form.cleaned_data.get("name", ""),
            roles=form.cleaned_data.get("roles", ()),
        )
    except LinkClosed as closed:
        return render(request, "core/set_up_closed.html", {"why": str(closed)}, status=404)
    enter(request, person, by=LogIn.By.LINK, is_new=True)
    messages.success(request, _("Welcome, {person}.").format(person=person))
    return redirect(production or "core:home")
