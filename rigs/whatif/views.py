"""Pages: the air of a leg, a rehearsal day for the ears, and questions to a rig.

A leg's shows are compared with the rehearsal room; a day is held against published rules; and
an answer about a rig can be taken over into the rig.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from core.places import Panel
from rigs.checks.bench import Bench
from rigs.checks.load import benches
from rigs.editing.pages import address, change_page, find_part, find_rig, retired_page
from rigs.models import PARTS, Part, Rig
from rigs.whatif.air import LEFT_OUT, compare, rehearsal_room
from rigs.whatif.answers import ProposedValue, WhatIfAnswer
from rigs.whatif.catalogue import TABS, Topic, Unanswerable, topic
from rigs.whatif.exposure import DayForm, answer, caution
from rigs.whatif.forms import PROPOSALS, QuestionFields


@require_safe
@production_view(Action.READ)
def leg_air(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = get_object_or_404(request.production.legs, pk=leg_id)
    context = {"leg": leg, "active_nav": "tour", **_compared(leg)}
    return render(request, "rigs/whatif/leg_air.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: what each room does to the top end."""
    compared = _compared(leg)
    return {
        show.pk: Panel(
            "rigs/whatif/_air_in_card.html", {"air": air, "reference": compared["reference"]}
        )
        for show, air in compared["compared"]
    }


def _compared(leg: Leg) -> dict[str, Any]:
    reference = rehearsal_room(leg.production)
    shows = [show for show in leg.shows.all() if not show.is_retired]
    return {
        "reference": reference,
        "compared": compare(shows, reference),
        "left_out": LEFT_OUT,
    }


@require_safe
@production_view(Action.READ)
def exposure(request: ProductionRequest) -> HttpResponse:
    """Levels and hours stand in the address; nothing is written."""
    form = DayForm(request.GET if "ask" in request.GET else None)
    answered = answer(form.stretches()) if form.is_valid() else None
    context = {"form": form, "answer": answered, "caution": caution(), "active_nav": "tour"}
    return render(request, "rigs/whatif/exposure.html", context)


@require_safe
@production_view(Action.READ)
def what_if(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """`?about=` names the kind of question, `&subject=` what it is about; nothing is written."""
    rig = find_rig(request, rig_id)
    asked = request.GET.get("subject", "")
    kind = topic(request.GET.get("about", ""), request.production, asked)
    bench = benches([rig])[rig.pk]
    context = {"rig": rig, "topics": TABS, "topic": kind, "active_nav": "rigs"}
    return render(request, "rigs/whatif/what_if.html", context | _asked(request, rig, kind, bench))


def _asked(request: ProductionRequest, rig: Rig, kind: Topic, bench: Bench) -> dict[str, Any]:
    subjects = kind.subjects(bench)
    asked_subject = request.GET.get("subject", "")
    subject = next((each for each in subjects if each.id == asked_subject), None)
    if subject is None:
        # Gone since the link was made: said so, and not answered about something else.
        if asked_subject or not subjects:
            return {"subjects": subjects, "gone": bool(asked_subject)}
        subject = subjects[0]
    form = kind.form(bench, subject.id, request.GET, request.user.temperature_scale)
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


def _answer(form: QuestionFields, kind: Topic, bench: Bench, subject: str) -> WhatIfAnswer | None:
    if not form.is_valid():
        return None
    try:
        return kind.answer(bench, subject, form.cleaned_data)
    except Unanswerable as refusal:
        form.add_error(refusal.field, str(refusal))
        return None


def _proposal_form(rig: Rig, proposal: ProposedValue) -> Any:
    part = PARTS[proposal.kind]._default_manager.get(pk=proposal.part)
    form = PROPOSALS[proposal.kind](rig, part, ask_reason=True)
    form.initial[proposal.field] = proposal.value
    return form


@require_POST
@production_view(Action.EDIT_RIG)
def change(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """`?kind=` and `&part=` say which field of the rig is to be what the answer was about."""
    model, part = PARTS.get(request.GET.get("kind", "")), request.GET.get("part", "")
    if model is None or model.KIND not in PROPOSALS or not issubclass(model, Part):
        raise BadRequest("kind is none that a question is about.")
    rig = find_part(request, model, rig_id, _id(part))
    # Retired since the answer was read: its editor decides whether it comes back.
    if rig.retired and "bring_back" not in request.POST:
        return retired_page(request, rig, address(rig.rig, "what_if"))
    form = PROPOSALS[model.KIND](rig.rig, rig, request.POST, ask_reason=True)
    return change_page(
        request,
        form,
        heading=_("Change {part}").format(part=rig),
        done_url=rig.rig.get_absolute_url(),
        success=_("“{part}” is changed, as asked.").format(part=rig),
    )


def _id(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise BadRequest("part is not an id.") from None
