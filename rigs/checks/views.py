"""The findings of a rig: what is open, what lacks a measurement, what was accepted."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.checks.acceptance import FindingGone, acknowledge, findings_with_words
from rigs.checks.forms import AcceptForm
from rigs.checks.panels import ShownFindings, shown
from rigs.checks.proposals import GONE, fill_in, find_proposal, open_proposals
from rigs.checks.registry import RULES
from rigs.editing.kinds import InputForm
from rigs.editing.pages import address, find_part, find_rig
from rigs.models import Input, Rig, WordsOnFinding


@require_safe
@production_view(Action.READ)
def findings(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    return _page(request, find_rig(request, rig_id))


@require_POST
@production_view(Action.EDIT_RIG)
def accept(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig, form = find_rig(request, rig_id), AcceptForm(posted(request))
    if not write_words(request, form, partial(acknowledge, rig=rig)):
        return _page(request, rig, form)
    return redirect("rigs:findings", request.production.pk, rig.pk)


def write_words(
    request: ProductionRequest, form: AcceptForm, write: Callable[..., WordsOnFinding]
) -> bool:
    """Write what was sent and say so; False where it was refused, with why on the form."""
    if not form.is_valid():
        return False
    try:
        row = write(user=request.user, **form.cleaned_data)
    except (FindingGone, ValidationError) as error:
        form.add_error(None, error if isinstance(error, ValidationError) else str(error))
        return False
    done = (
        _("Accepted, with your words: {finding}.") if row.accepted else _("Open again: {finding}.")
    )
    messages.success(request, done.format(finding=_(row.said_of)))
    return True


@require_safe
@production_view(Action.EDIT_RIG)
def take_over(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    """The input's own form with what a finding proposes put in; `?finding=` is its signature.

    The form goes to the input's own address: what is saved there is an edit like any other.
    """
    entry = find_part(request, Input, rig_id, input_id)
    signature = request.GET.get("finding", "")
    proposal = find_proposal(open_proposals(entry.rig, str(entry.pk)), signature)
    if proposal is None:
        messages.warning(request, GONE)
        return redirect("rigs:findings", request.production.pk, entry.rig.pk)
    form = InputForm(entry.rig, entry)
    fill_in(form, proposal)
    context = {
        "form": form,
        "rig": entry.rig,
        "item": entry,
        "heading": _("Input {input}").format(input=entry),
        "proposal": proposal,
        "lines": proposal.lines(entry.fields()),
        "action_url": address(entry.rig, "input_edit", entry.pk),
        "cancel_url": address(entry.rig, "findings"),
        "active_nav": "rigs",
    }
    return render(request, "rigs/checks/take_over.html", context)


def _page(request: ProductionRequest, rig: Rig, form: AcceptForm | None = None) -> HttpResponse:
    findings: ShownFindings = shown(findings_with_words([rig])[rig.pk], form)
    context = {
        "rig": rig,
        "shown": findings,
        "form": form,
        "rules": RULES,
        "active_nav": "rigs",
    }
    return render(request, "rigs/checks/findings.html", context)
