"""What would be if something in a rig were another, and making it so."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from rigs.checks.bench import Bench
from rigs.checks.load import benches
from rigs.forms.what_if import PROPOSALS, Question
from rigs.models import PARTS, Part, Rig
from rigs.services.what_if import TABS, Topic, Unanswerable, topic
from rigs.views.pages import address, change_page, find_part, find_rig, retired_page
from rigs.whatif.answers import Answer, Proposal


@require_safe
@production_view(Action.READ)
def what_if(request: ProductionRequest, rig: UUID) -> HttpResponse:
    """`?about=` names the kind of question, `&subject=` what it is about; nothing is written."""
    found = find_rig(request, rig)
    asked = request.GET.get("subject", "")
    kind = topic(request.GET.get("about", ""), request.production, asked)
    bench = benches([found])[found.pk]
    context = {"rig": found, "topics": TABS, "topic": kind, "active_nav": "rigs"}
    return render(request, "rigs/what_if.html", context | _asked(request, found, kind, bench))


def _asked(request: ProductionRequest, rig: Rig, kind: Topic, bench: Bench) -> dict[str, Any]:
    subjects = kind.subjects(bench)
    wanted = request.GET.get("subject", "")
    subject = next((each for each in subjects if each.id == wanted), None)
    if subject is None:
        if wanted or not subjects:
            return {"subjects": subjects, "gone": bool(wanted)}
        subject = subjects[0]
    form = kind.form(bench, subject.id, request.GET)
    answer = _answer(form, kind, bench, subject.id)
    proposal = answer.proposal if answer else None
    return {
        "subjects": subjects,
        "subject": subject,
        "form": form,
        "answer": answer or kind.known(bench, subject.id),
        "proposal": proposal,
        "proposal_form": proposal and _proposal_form(rig, proposal),
    }


def _answer(form: Question, kind: Topic, bench: Bench, subject: str) -> Answer | None:
    if not form.is_valid():
        return None
    try:
        return kind.answer(bench, subject, form.cleaned_data)
    except Unanswerable as refusal:
        form.add_error(refusal.field, str(refusal))
        return None


def _proposal_form(rig: Rig, proposal: Proposal) -> Any:
    part = PARTS[proposal.kind]._default_manager.get(pk=proposal.part)
    form = PROPOSALS[proposal.kind](rig, part, ask_reason=True)
    form.initial[proposal.field] = proposal.value
    return form


@require_POST
@production_view(Action.EDIT_RIG)
def change(request: ProductionRequest, rig: UUID) -> HttpResponse:
    """`?kind=` and `&part=` say which field of the rig is to be what the answer was about."""
    model, part = PARTS.get(request.GET.get("kind", "")), request.GET.get("part", "")
    if model is None or model.KIND not in PROPOSALS or not issubclass(model, Part):
        raise BadRequest("kind is none that a question is about.")
    found = find_part(request, model, rig, _id(part))
    if found.retired and "bring_back" not in request.POST:
        return retired_page(request, found, address(found.rig, "what_if"))
    form = PROPOSALS[model.KIND](found.rig, found, request.POST, ask_reason=True)
    return change_page(
        request,
        form,
        heading=f"Change {found}",
        done_url=found.rig.get_absolute_url(),
        said=f"“{found}” is changed, as asked.",
    )


def _id(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise BadRequest("part is not an id.") from None
