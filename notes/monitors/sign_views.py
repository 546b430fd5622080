"""Sign a mix: with an account, by a link; ask for it, and take the link back."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, private, production_view, public
from core.languages.choice import read_link_in
from core.languages.words import leading
from core.links import LinkClosed
from core.numbers import whole_number
from core.offline.once import long_running
from core.views.pages import posted
from notes.models import MixSignRequest
from notes.monitors import signing
from notes.monitors.cautions import HEARING
from notes.monitors.paper import copy_of
from notes.monitors.refs import Known
from notes.monitors.services import state_at
from notes.monitors.shown import shown_wants
from notes.monitors.signing import MixMovedOn, may_sign
from notes.monitors.state import MixState
from notes.monitors.views import context_of, find_mix
from notes.monitors.words import in_words
from notes.signing.forms import PassOnForm
from notes.signing.link_views import answered, say_forms
from notes.signing.requests import DAYS
from rigs.paper.responses import paper_of, pdf_named


@require_http_methods(["GET", "POST"])
@production_view(Action.SIGN_MIX)
def sign(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    mix = find_mix(request, mix_id)
    if not may_sign(mix, request.member.player_ids):
        raise PermissionDenied(_("A player signs their own mixes only."))
    forms, seen = say_forms(request), whole_number(request.POST.get("version")) or mix.version

    def put_on_record(*, token: str, decision: str, words: str) -> Any:
        return signing.sign(
            mix=mix,
            version=seen,
            decision=decision,
            words=words,
            player=mix.player,
            user=request.user,
        )

    try:
        made = answered(request, "", forms, put_on_record)
    except MixMovedOn:
        made, mix = None, find_mix(request, mix_id)
    if made is not None:
        messages.success(request, f"{leading(mix, made.get_decision_display())}.")
        return redirect(mix)
    context = context_of(request, mix) | {
        "forms": forms,
        "seen": seen,
        "since_seen": _between(mix, seen, mix.version),
    }
    return render(request, "notes/monitors/sign.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache  # the answer holds a link that must not be kept anywhere
@long_running  # a mail may go out
@production_view(Action.EDIT_MIX)
def ask(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    mix = find_mix(request, mix_id)
    if mix.player is None or mix.is_retired:
        messages.error(request, signing.NOBODY if mix.player is None else _("This mix is retired."))
        return redirect(mix)
    seen = whole_number(request.POST.get("version")) or mix.version
    form = PassOnForm(posted(request), initial={"language": mix.player.language})
    if form.is_valid():
        email, language = form.cleaned_data["email"], form.cleaned_data["language"]
        try:
            asked = signing.ask(
                mix=mix,
                version=seen,
                by=request.user,
                language=language,
                address=lambda token: request.build_absolute_uri(
                    reverse("notes:mix_signature", args=[token])
                ),
            )
        except MixMovedOn:
            mix = find_mix(request, mix_id)
        else:
            context = context_of(request, mix) | {
                "asked": asked,
                "email": email,
                "mailed": bool(email) and signing.mail(asked, email),
                "again_url": within(request, "notes:mix_ask", mix.pk),
                "again": {"version": seen, "language": language},
            }
            return render(request, "notes/monitors/asked.html", context)
    context = context_of(request, mix) | {
        "form": form,
        "days": DAYS,
        "seen": seen,
        "since_seen": _between(mix, seen, mix.version),
    }
    return render(request, "notes/monitors/ask.html", context)


@require_POST
@production_view(Action.EDIT_MIX)
def withdraw(request: ProductionRequest, mix_id: UUID) -> HttpResponse:
    mix = find_mix(request, mix_id)
    if signing.withdraw(mix):
        messages.success(request, _("The link is closed. It opens nothing any more."))
    else:
        messages.warning(request, _("No link was open: it was used, closed before, or never made."))
    return redirect(mix)


@public  # the link itself is the key, and its holder has no account
@csrf_exempt  # no cookie gives any right here; and with no-referrer a browser sends no origin
@never_cache
@private
@require_http_methods(["GET", "HEAD", "POST"])
def signature(request: HttpRequest, token: str) -> HttpResponse:
    try:
        asked = signing.look_up(token)
        read_link_in(request, asked.link.language)
        forms = say_forms(request)
        made = answered(request, token, forms, signing.answer)
    except (LinkClosed, ValidationError):
        # One answer for used, withdrawn, expired and never made, so that guessing teaches nothing.
        return render(request, "notes/signing/closed.html", status=404)
    except MixMovedOn:
        asked, made = signing.look_up(token), None
    if made is not None:
        copy_url = reverse("notes:mix_signature_copy", args=[token])
        context = {"made": made, "asked": asked, "copy_url": copy_url}
        return render(request, "notes/monitors/thanks.html", context)
    return render(request, "notes/monitors/signature.html", _context(asked, forms))


@public  # the link itself is the key; once used it opens what its holder said, and nothing else
@private
@require_safe
def copy(request: HttpRequest, token: str) -> HttpResponse:
    """What was said with the link, and the mix it was said of, on paper to keep."""
    try:
        made, language = signing.answered_with(token)
    except LinkClosed:
        raise Http404(_("There is no copy.")) from None
    read_link_in(request, language)
    name = f"{slugify(f'{made.mix} {made.name}')}.pdf"
    response = pdf_named(name, copy_of(made, paper=paper_of(request)))
    response["Cache-Control"] = "private, no-store"
    return response


def _context(asked: MixSignRequest, forms: Any) -> dict[str, Any]:
    """The mix exactly as it was when the link was made."""
    mix, state = asked.mix, MixState.from_plain(asked.version.state)
    known = Known(mix.production_id)
    before = (
        mix.sign_offs.filter(player=asked.player, decision=signing.Decision.SIGNED)
        .select_related("version")
        .first()
    )
    return {
        "asked": asked,
        "mix": mix,
        "state": state,
        "wants": shown_wants(state, known),
        "forms": forms,
        "before": before,
        "since": _between(mix, before.version.number, asked.version.number) if before else [],
        "moved_on": mix.version != asked.version.number,
        "caution": HEARING,
    }


def _between(mix: Any, first: int, last: int) -> list[str]:
    """What differs between two versions, in sentences; nothing where they are one."""
    if first == last:
        return []
    known = Known(mix.production_id)
    return in_words(state_at(mix, first), state_at(mix, last), known.name, known.players)
