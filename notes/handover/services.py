"""Say that a section was read, ask about it, answer."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext

from core.access.policy import Action, allowed
from core.models import Leg, Membership, Player, Production, User
from core.models.roles import Role
from core.moments import written
from notes.handover.content import content_of, outline_of
from notes.handover.newest import newest_of
from notes.handover.state import find
from notes.models import Acknowledgement, Answer, Handover, PublishedHandover, Question


def handover_of(leg: Leg) -> Handover:
    """The handover of a leg; a new one if nobody has written anything in it yet."""
    # Nobody has changed it since: what is said of it first may have waited on a device.
    return Handover.objects.get_or_create(leg=leg, defaults={"changed_at": written().at})[0]


@transaction.atomic
def acknowledge(
    *,
    leg: Leg,
    user: User,
    player: Player | None,
    published: PublishedHandover | None = None,
    digest: str = "",
) -> Acknowledgement:
    """`user` has read a player's section or, without a player, the general part.

    What they read is `published`, or else the newest published one of the leg; where there is none
    yet, the working copy, of which `digest` is what the section said to them; without, what it says
    now. Whoever reads again after something changed says so again; the last time
    counts, but an older one, said late, does not replace a newer one.
    Raises ValidationError for a player or a published handover of somewhere else.
    """
    _check_player(leg, player)
    handover, moment = handover_of(leg), written()
    # What was newest when their page was made, not what was published while the form waited.
    read = published or newest_of(leg, by=moment.page_at)
    if read is not None and read.handover_id != handover.pk:
        raise ValidationError(gettext("That handover is for another leg."))
    rows = Acknowledgement.objects.filter(handover=handover, player=player, user=user)
    newer = rows.filter(published__number__gt=read.number).first() if read else None
    # The form waited on a device, and they have read a newer handover meanwhile.
    if newer is not None:
        return newer
    # What is on file was said later, though it arrived before this: the last time counts.
    same = rows.filter(published=read, at__gt=moment.at).first()
    if same is not None:
        return same
    acknowledgement, _ = Acknowledgement.objects.update_or_create(
        handover=handover,
        player=player,
        user=user,
        defaults={
            **moment.values("at"),
            "published": read,
            "digest": "" if read else digest or _digest_now(leg, player),
        },
    )
    return acknowledgement


def _digest_now(leg: Leg, player: Player | None) -> str:
    """The digest of a section of the working copy; empty for a player who is not in it."""
    key = str(player.pk) if player else None
    outline = outline_of(content_of(find(leg)))
    return next((str(each["digest"]) for each in outline if each["player"] == key), "")


@transaction.atomic
def ask(
    *, leg: Leg, user: User, words: str, player: Player | None, owed_by: User | None = None
) -> Question:
    """A question about a player's section or the general part. Raises ValidationError.

    `owed_by` is who is to answer; without, it is for whoever of the engineers and techs knows.
    """
    _check_player(leg, player)
    if owed_by is not None and owed_by not in answerers(leg.production):
        raise ValidationError({"owed_by": gettext("Only an engineer, a tech or a player answers.")})
    words = _words(Question, words, gettext("Write the question first."))
    return Question.objects.create(
        handover=handover_of(leg),
        player=player,
        words=words,
        asked_by=user,
        owed_by=owed_by,
        **written().values("asked_at"),
    )


def answerers(production: Production) -> QuerySet[User]:
    """The users whose role lets them answer, by name."""
    roles = [role for role in Role if allowed([role], Action.ANSWER)]
    held = Membership.objects.filter(production=production, role__in=roles)
    return User.objects.filter(pk__in=held.values("user")).order_by("name", "pk")


@transaction.atomic
def answer(*, question: Question, user: User, words: str) -> Answer:
    """Add an answer to a question, which may have several. Raises ValidationError."""
    words = _words(Answer, words, gettext("Write the answer first."))
    return Answer.objects.create(
        question=question, words=words, answered_by=user, **written().values("answered_at")
    )


def _words(model: type[Question] | type[Answer], words: str, missing: str) -> str:
    limit = model._meta.get_field("words").max_length
    # Cleaned as a form does, whoever calls: pages and API have the same limits.
    checked = forms.CharField(max_length=limit, error_messages={"required": missing})
    try:
        return str(checked.clean(words))
    except ValidationError as error:
        raise ValidationError({"words": error.messages}) from None


def _check_player(leg: Leg, player: Player | None) -> None:
    if player is not None and player.production_id != leg.production_id:
        raise ValidationError({"player": gettext("This production has no such player.")})
