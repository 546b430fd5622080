"""The handovers of a production: the list, one leg's page, its words."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.clock import now
from core.models import Leg
from core.offline.keeping import as_list
from core.views.pages import form_page, posted
from notes.forms.handover import AnswerForm, HandoverForm, QuestionForm
from notes.handover.assembling import Section, assemble
from notes.handover.keeping import keeping
from notes.handover.overview import overview
from notes.handover.services import handover_of
from notes.models import Handover, Question


@require_safe
@production_view(Action.READ)
def handovers(request: ProductionRequest) -> HttpResponse:
    context = {"rows": overview(request.production, request.user), "active_nav": "handover"}
    return render(request, "notes/handover/handovers.html", context)


@require_safe
@production_view(Action.READ)
def handover(request: ProductionRequest, leg: UUID) -> HttpResponse:
    return show(request, leg_of(request, leg))


@require_safe
@production_view(Action.READ)
def keep(request: ProductionRequest, leg: UUID) -> HttpResponse:
    """For the worker: what belongs to this handover."""
    found = leg_of(request, leg)
    address = Handover(leg=found).get_absolute_url()
    wanted = keeping(request.member, address, f"Handover: {found}")
    return as_list(wanted, request.production, request.user)


@require_http_methods(["GET", "HEAD", "POST"])
@production_view(Action.WRITE_HANDOVER)
def edit(request: ProductionRequest, leg: UUID) -> HttpResponse:
    found = leg_of(request, leg)
    form = HandoverForm(posted(request), instance=_instance(request, found))
    if form.try_save():
        messages.success(request, f"The handover for {found} is saved.")
        return redirect(form.instance)
    return form_page(
        request, form, heading=f"Handover for {found}", active_nav="handover",
        cancel_url=Handover(leg=found).get_absolute_url(), template="notes/handover/edit.html",
    )  # fmt: skip


def _instance(request: HttpRequest, leg: Leg) -> Handover:
    """The handover on file; a blank one while somebody only looks at the form."""
    if request.method == "POST":
        return handover_of(leg)
    return Handover.objects.filter(leg=leg).first() or Handover(leg=leg)


def leg_of(request: ProductionRequest, leg: UUID) -> Leg:
    legs = Leg.objects.select_related("production")
    return get_object_or_404(legs, pk=leg, production=request.production)


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with the form that answers it."""

    question: Question
    form: AnswerForm


@dataclass(frozen=True, slots=True)
class Talk:
    """A section with the form to ask about it, and the questions that were asked."""

    section: Section
    form: QuestionForm
    asked: list[Asked]


def show(
    request: ProductionRequest,
    leg: Leg,
    *,
    refused: QuestionForm | AnswerForm | None = None,
    place: UUID | None = None,
) -> HttpResponse:
    """The page. A `refused` form stands in its place with what was typed: a question in the
    section of the player `place`, an answer below the question `place`."""
    page = assemble(leg, request.user)
    talks = [_talk(request, section, refused, place) for section in page.all_sections]
    context = {
        "page": page, "leg": leg, "talks": talks, "now": now(), "active_nav": "handover",
    }  # fmt: skip
    return render(request, "notes/handover/handover.html", context)


def _talk(
    request: ProductionRequest,
    section: Section,
    refused: QuestionForm | AnswerForm | None,
    place: UUID | None,
) -> Talk:
    player = section.player.pk if section.player else None
    if isinstance(refused, QuestionForm) and place == player:
        form = refused
    else:
        form = QuestionForm(production=request.production, initial={"player": player})
    form.auto_id = f"ask-{section.key}-%s"
    return Talk(section, form, [_asked(each, refused, place) for each in section.questions])


def _asked(
    question: Question, refused: QuestionForm | AnswerForm | None, place: UUID | None
) -> Asked:
    own = isinstance(refused, AnswerForm) and place == question.pk
    form = refused if own and isinstance(refused, AnswerForm) else AnswerForm()
    form.auto_id = f"answer-{question.pk}-%s"
    return Asked(question, form)
