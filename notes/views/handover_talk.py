"""What readers of a handover do on its page: say that they have read it, ask, answer."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg, Player
from notes.forms.handover import AboutForm, AnswerForm, QuestionForm
from notes.handover import services
from notes.models import Handover, Question
from notes.published.newest import newest_of
from notes.views.handover import leg_of, show
from notes.views.published import show as show_published
from notes.views.talk import Refused


@require_POST
@production_view(Action.ACKNOWLEDGE)
def acknowledge(request: ProductionRequest, leg: UUID) -> HttpResponse:
    found = leg_of(request, leg)
    form = AboutForm(request.POST, production=request.production)
    if not form.is_valid():
        raise BadRequest("This production has no such player.")
    player = form.cleaned_data["player"]
    services.acknowledge(leg=found, user=request.user, player=player)
    messages.success(request, f"Marked as read: {player or 'the general part'}.")
    return _back(found, player)


@require_POST
@production_view(Action.ACKNOWLEDGE)
def ask(request: ProductionRequest, leg: UUID) -> HttpResponse:
    found = leg_of(request, leg)
    form = asking(request)
    if not form.is_valid():
        return show(request, found, Refused(form, about(form)))
    services.ask(leg=found, user=request.user, **form.cleaned_data)
    messages.success(request, ASKED)
    return _back(found, form.cleaned_data["player"])


ASKED = "Your question stands on this page. Whoever answers does it here."


def asking(request: ProductionRequest) -> QuestionForm:
    """Checked. A section that is none is no mistake of typing: BadRequest."""
    form = QuestionForm(request.POST, production=request.production)
    if not form.is_valid() and "player" in form.errors:
        raise BadRequest("This production has no such player.")
    return form


def about(form: QuestionForm) -> UUID | None:
    player = form.cleaned_data["player"]
    return player.pk if player else None


@require_POST
@production_view(Action.ANSWER)
def answer(request: ProductionRequest, question: UUID) -> HttpResponse:
    """From the working copy, or from the published one that `published` names."""
    found = _question(request, question)
    form = AnswerForm(request.POST)
    leg, read = found.handover.leg, newest_of(found.handover.leg)
    if not form.is_valid():
        refused = Refused(form, found.pk)
        return show_published(request, read, refused) if read else show(request, leg, refused)
    services.answer(question=found, user=request.user, words=form.cleaned_data["words"])
    messages.success(request, f"{found.asked_by}’s question is answered.")
    return _back(leg, found.player)


def _question(request: ProductionRequest, question: UUID) -> Question:
    questions = Question.objects.select_related("handover__leg__production", "asked_by", "player")
    return get_object_or_404(questions, pk=question, handover__leg__production=request.production)


def _back(leg: Leg, player: Player | None) -> HttpResponse:
    """To the section, of the one that the crew reads."""
    place = f"player-{player.pk}" if player else "general"
    page = newest_of(leg) or Handover(leg=leg)
    return redirect(f"{page.get_absolute_url()}#{place}")
