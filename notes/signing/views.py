"""Sign a rig as a member: as tech, as engineer, or as the musician one is."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Production
from core.numbers import whole_number
from notes.models import Party, SignOff
from notes.places import SCATTER
from notes.signing.forms import Decision, MemberSignOffForm
from notes.signing.parties import parties_for
from notes.signing.services import MovedOn, sign
from notes.signing.since import since_revision
from notes.signing.states import SignOffStatus, sign_off_status_of
from rigs.knob_check.confirming import marks_of
from rigs.models import Revision, Rig

Forms = dict[str, MemberSignOffForm]


@require_http_methods(["GET", "HEAD", "POST"])
@production_view(Action.SIGN)
def sign_rig(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = rig_of(request.production, rig_id)
    parties = parties_for(request.member.roles, request.member.player_ids, rig)
    if not parties:
        raise PermissionDenied(_("A player signs their own rigs only."))
    forms, seen = _forms(request, rig, parties), _seen(request, rig)
    if request.method == "POST":
        try:
            if _signed(request, rig, forms):
                return redirect(rig)
        except MovedOn as news:
            rig, seen = rig_of(request.production, rig_id), news.shown
            forms = _forms_again(forms, rig, parties)
    status = sign_off_status_of(rig)
    context = about(status) | {
        "forms": forms,
        "seen": seen,
        "since_seen": since_revision(rig, seen),
        "since_own": _since_own(status, parties),
        "panel_marks": marks_of([rig.pk]),
    }
    return render(request, "notes/signing/sign.html", context)


def rig_of(production: Production, rig: UUID) -> Rig:
    rigs = Rig.objects.select_related("player", "production")
    return get_object_or_404(rigs, pk=rig, production=production)  # type: ignore[no-any-return]


def about(status: SignOffStatus) -> dict[str, Any]:
    """What every page about signing a rig shows."""
    rig = status.rig
    newest = Revision.objects.get(rig=rig, number=rig.head_number)
    stand = [each.sign_off for each in status.parties if each.sign_off is not None]
    return {
        "rig": rig,
        "status": status,
        "newest": newest,
        "scatter": SCATTER.first(rig, stand),
        "active_nav": "rigs",
    }


def _forms(request: ProductionRequest, rig: Rig, parties: list[Party]) -> Forms:
    """One form for yes, one for not yet; the one that was sent is bound to what was typed."""
    sent = request.POST.get("decision")
    return {
        decision: MemberSignOffForm(
            request.POST if decision == sent else None,
            decision=decision,
            parties=parties,
            rig=rig,
            initial={"revision": rig.head_number},
        )
        for decision in Decision.values
    }


def _forms_again(typed: Forms, rig: Rig, parties: list[Party]) -> Forms:
    """The forms for the newer state of the rig, with what was typed for the older one."""
    return {
        decision: MemberSignOffForm(
            decision=decision,
            parties=parties,
            rig=rig,
            initial={**getattr(form, "cleaned_data", {}), "revision": rig.head_number},
        )
        for decision, form in typed.items()
    }


def _signed(request: ProductionRequest, rig: Rig, forms: Forms) -> bool:
    form = forms.get(request.POST.get("decision", ""))
    if form is None:
        messages.error(request, _("Nothing was signed: say whether this is right, or not yet."))
        return False
    if not form.is_valid():
        return False
    try:
        made = sign(rig=rig, decision=form.decision, user=request.user, **form.cleaned_data)
    except ValidationError as error:
        form.add_error(None, error)
        return False
    messages.success(request, _thanks(made))
    return True


def _thanks(made: SignOff) -> str:
    names = {"rig": made.rig, "number": made.revision.number}
    if made.decision == Decision.SIGNED:
        words = _("You signed {rig} as it is after change {number}, as {party}.")
        return words.format(**names, party=made.get_party_display())
    return _(
        "Your signature under {rig} as it is after change {number} is withheld. Your words "
        "stand on its page."
    ).format(**names)


def _seen(request: ProductionRequest, rig: Rig) -> int:
    """The change up to which the page that led here showed the rig; the newest if it says none."""
    seen = whole_number(request.GET.get("seen"))
    # An address may name a change that there is not yet.
    return rig.head_number if seen is None else min(seen, rig.head_number)


def _since_own(status: SignOffStatus, parties: list[Party]) -> list[dict[str, Any]]:
    """For each party that the reader signs as, what differs from the state it spoke about last."""
    return [
        {"state": each, "since": since_revision(status.rig, each.sign_off.revision.number)}
        for each in status.parties
        if each.party in parties and each.sign_off and each.changes_since
    ]
