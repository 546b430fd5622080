"""Say that one has read it, ask, answer."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from core import clock
from core.models import Leg, Player, User
from notes.models import Acknowledgement, Answer, Handover, Question


def handover_of(leg: Leg) -> Handover:
    """The leg's handover, made if nobody has written anything in it yet."""
    return Handover.objects.get_or_create(leg=leg)[0]


@transaction.atomic
def acknowledge(*, leg: Leg, user: User, player: Player | None) -> Acknowledgement:
    """`user` has read a player's section or, without a player, the general part.

    Whoever reads again after something changed says so again; the last time counts.
    Raises ValidationError for a player of another production.
    """
    _check_player(leg, player)
    read, _ = Acknowledgement.objects.update_or_create(
        handover=handover_of(leg), player=player, user=user, defaults={"at": clock.now()}
    )
    return read


@transaction.atomic
def ask(*, leg: Leg, user: User, words: str, player: Player | None) -> Question:
    """A question about a player's section or the general part. Raises ValidationError."""
    _check_player(leg, player)
    words = _words(Question, words, "Write the question first.")
    return Question.objects.create(
        handover=handover_of(leg), player=player, words=words, asked_by=user, asked_at=clock.now()
    )


@transaction.atomic
def answer(*, question: Question, user: User, words: str) -> Answer:
    """One of possibly several answers. Raises ValidationError."""
    words = _words(Answer, words, "Write the answer first.")
    return Answer.objects.create(
        question=question, words=words, answered_by=user, answered_at=clock.now()
    )


def _words(model: type[Question] | type[Answer], words: str, missing: str) -> str:
    limit = model._meta.get_field("words").max_length
    checked = forms.CharField(max_length=limit, error_messages={"required": missing})
    try:
        return str(checked.clean(words))
    except ValidationError as error:
        raise ValidationError({"words": error.messages}) from None


def _check_player(leg: Leg, player: Player | None) -> None:
    if player is not None and player.production_id != leg.production_id:
        raise ValidationError({"player": "This production has no such player."})
