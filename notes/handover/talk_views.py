"""What readers of a handover do on its page: say that they have read it, ask, answer.

The same for the working copy and for what is published.
"""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg, Player
from notes.handover import services
from notes.handover.forms import AnswerForm, QuestionForm, ReadForm
from notes.handover.newest import newest_of
from notes.handover.pages import show_copy, show_published
from notes.handover.published_views import find_published
from notes.handover.talk import RefusedForm
from notes.handover.views import leg_of
from notes.models import Handover, PublishedHandover, Question

ASKED = gettext_lazy("Your question stands on this page. Whoever answers does it here.")


@require_POST
@production_view(Action.ACKNOWLEDGE)
def acknowledge(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return _acknowledge(request, leg_of(request, leg_id), None)


@require_POST
@production_view(Action.ACKNOWLEDGE)
def acknowledge_published(request: ProductionRequest, published_id: UUID) -> HttpResponse:
    published = find_published(request, published_id)
    return _acknowledge(request, published.handover.leg, published)


def _acknowledge(
    request: ProductionRequest, leg: Leg, published: PublishedHandover | None
) -> HttpResponse:
    form = ReadForm(request.POST, production=request.production)
    if not form.is_valid():
        raise BadRequest(_("This production has no such player, or the page was tampered with."))
    player = form.cleaned_data["player"]
    services.acknowledge(
        leg=leg,
        user=request.user,
        player=player,
        published=published,
        digest=form.cleaned_data["digest"],
    )
    section = player or _("the general part")
    if published:
        said = _("Marked as read in {published}: {section}.")
        messages.success(request, said.format(published=published, section=section))
    else:
        messages.success(request, _("Marked as read: {section}.").format(section=section))
    return _back(request, leg, published, player)


@require_POST
@production_view(Action.ACKNOWLEDGE)
def ask(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return _ask(request, leg_of(request, leg_id), None)


@require_POST
@production_view(Action.ACKNOWLEDGE)
def ask_published(request: ProductionRequest, published_id: UUID) -> HttpResponse:
    published = find_published(request, published_id)
    return _ask(request, published.handover.leg, published)


def _ask(request: ProductionRequest, leg: Leg, published: PublishedHandover | None) -> HttpResponse:
    form = QuestionForm(request.POST, production=request.production)
    if not form.is_valid():
        if "player" in form.errors:  # a section that is none is no mistake of typing
            raise BadRequest(_("This production has no such player."))
        player = form.cleaned_data["player"]
        return _show(request, leg, published, RefusedForm(form, player.pk if player else None))
    services.ask(leg=leg, user=request.user, **form.cleaned_data)
    messages.success(request, ASKED)
    return _back(request, leg, published, form.cleaned_data["player"])


@require_POST
@production_view(Action.ANSWER)
def answer(request: ProductionRequest, question_id: UUID) -> HttpResponse:
    """Answer on the page of the working copy or of a published handover. The reader is led back to
    the one that the crew reads."""
    question = _question(request, question_id)
    leg, form = question.handover.leg, AnswerForm(request.POST)
    if not form.is_valid():
        return _show(request, leg, newest_of(leg), RefusedForm(form, question.pk))
    services.answer(question=question, user=request.user, words=form.cleaned_data["words"])
    messages.success(
        request, _("{asked_by}’s question is answered.").format(asked_by=question.asked_by)
    )
    return _back(request, leg, None, question.player)


def _question(request: ProductionRequest, question_id: UUID) -> Question:
    questions = Question.objects.select_related("handover__leg__production", "asked_by", "player")
    return get_object_or_404(
        questions, pk=question_id, handover__leg__production=request.production
    )


def _show(
    request: ProductionRequest, leg: Leg, published: PublishedHandover | None, refused: RefusedForm
) -> HttpResponse:
    if published is None:
        return show_copy(request, leg, refused)
    return show_published(request, published, refused)


def _back(
    request: ProductionRequest,
    leg: Leg,
    published: PublishedHandover | None,
    player: Player | None,
) -> HttpResponse:
    """A redirect to the section, read in the same way as before. Where it is not said which
    handover it is about, to the one that the crew reads."""
    page = published or newest_of(leg) or Handover(leg=leg)
    asked = f"?{request.GET.urlencode()}" if request.GET else ""
    place = f"player-{player.pk}" if player else "general"
    return redirect(f"{page.get_absolute_url()}{asked}#{place}")
