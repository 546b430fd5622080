"""Ask a rig's player to sign, by a link to copy or to scan; take the link back."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.offline.once import long_running
from core.views.pages import posted
from notes.models import Clip
from notes.signing import requests
from notes.signing.forms import AskForm
from notes.signing.services import MovedOn
from notes.signing.since import since_revision
from notes.signing.states import sign_off_status_of
from notes.signing.views import about, rig_of
from rigs.models import Rig


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache  # the answer holds a link that must not be kept anywhere
@long_running  # a mail may go out
@production_view(Action.ASK_SIGNATURE)
def ask(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = rig_of(request.production, rig_id)
    form = AskForm(posted(request), rig=rig)
    seen = rig.head_number
    if form.is_valid():
        try:
            return _shown_once(request, rig, **form.cleaned_data)
        except MovedOn as news:
            rig, seen = rig_of(request.production, rig_id), news.shown
    context = about(sign_off_status_of(rig)) | {
        # A fresh form: sent again, it asks for the state that is shown now.
        "form": AskForm(initial=_initial(rig), rig=rig),
        "days": requests.DAYS,
        "seen": seen,
        "since_seen": since_revision(rig, seen),
    }
    return render(request, "notes/signing/ask.html", context)


def _initial(rig: Rig) -> dict[str, Any]:
    """The state that is shown, and the language that the player speaks."""
    return {"revision": rig.head_number, "language": rig.player.language}


def _shown_once(
    request: ProductionRequest,
    rig: Rig,
    revision: int,
    email: str = "",
    clip: Clip | None = None,
    language: str = "",
) -> HttpResponse:
    """Make the link and show it. No redirect: it cannot be shown on another page, because only its
    digest is stored."""
    asked = requests.ask(
        rig=rig,
        revision=revision,
        by=request.user,
        clip=clip,
        language=language,
        address=lambda token: request.build_absolute_uri(reverse("notes:signature", args=[token])),
    )
    context = {
        "asked": asked,
        "rig": rig,
        "email": email,
        "mailed": bool(email) and requests.mail(asked, email),
        "again_url": reverse("notes:ask_signature", args=[request.production.pk, rig.pk]),
        "again": {"revision": revision, "clip": clip.pk if clip else "", "language": language},
        "active_nav": "rigs",
    }
    return render(request, "notes/signing/asked.html", context)


@require_POST
@production_view(Action.ASK_SIGNATURE)
def withdraw(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = rig_of(request.production, rig_id)
    if requests.withdraw(rig=rig):
        messages.success(request, _("The link is closed. It opens nothing any more."))
    else:
        messages.warning(request, _("No link was open: it was used, closed before, or never made."))
    return redirect(rig)
