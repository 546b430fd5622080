"""What waits for somebody in the notes: open notes, trials, questions, signatures, reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from uuid import UUID

from django.db.models import OuterRef, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core import clock
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, Several, column
from core.models import Leg, OneTimeLink, Player, Production, User
from core.places import ToDo
from notes.blind.results import to_hear_blind
from notes.handover.newest import published_by_leg
from notes.handover.questions import owes
from notes.handover.to_dos import reading_to_dos
from notes.models import (
    Acknowledgement,
    BlindTrial,
    MixSignRequest,
    Question,
    SignRequest,
    Trial,
)
from notes.monitors.signing import open_requests as open_mix_requests
from notes.signing.requests import open_requests
from notes.states import CountOf, unsettled_of

# A handover waits to be read from four weeks before its leg until the leg is over.
READ_BEFORE = timedelta(weeks=4)
MANY = 500  # open notes; beyond that, how many more there are is of no use to anybody


def to_dos(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What waits for somebody, by production. At most eleven queries for any number of these."""
    places = [member.production.pk for member in members]
    counted = {place.pk: vars(place) for place in _counted(places)}
    asked = _asked(places)
    # Nobody but players signs.
    of_players = [member.production.pk for member in members if member.player_ids]
    signatures = _to_sign(clock.now(), of_players) if of_players else []
    mixes = _mixes_to_sign(clock.now(), of_players) if of_players else []
    blind = to_hear_blind(user, places)
    legs = _legs_to_read(places)
    published = published_by_leg(legs)
    unread = _unread(user, places, [leg for leg in legs if leg.pk not in published])
    reading = reading_to_dos(user, members, legs, published)
    return {
        member.production.pk: [
            *_working(member, counted[member.production.pk]),
            *_answering(user, member, asked),
            *_signing(member, signatures),
            *_signing_mixes(member, mixes),
            *_listening(member, blind),
            *unread.get(member.production.pk, ()),
            *reading.get(member.production.pk, ()),
        ]
        for member in members
    }


def _with_counts(places: Sequence[UUID]) -> QuerySet[Production]:
    undecided = Trial.objects.filter(production=OuterRef("pk"), decided_at=None).order_by()
    return Production.objects.filter(pk__among=places).annotate(
        unsettled=unsettled_of(OuterRef("pk"), MANY + 1), undecided=CountOf(undecided.values("pk"))
    )


_counted = Composed(_with_counts, Several(column(Production)))
_asked = Composed(
    lambda places: (
        Question.objects.filter(handover__leg__production__pk__among=places, answers=None)
        .select_related("handover__leg")
        .order_by("asked_at")
    ),
    Several(column(Production)),
)
_to_sign = Composed(
    lambda at, places: (
        open_requests(at).filter(rig__production__pk__among=places).select_related("rig")
    ),
    column(OneTimeLink, "expires_at"),
    Several(column(Production)),
)
_mixes_to_sign = Composed(
    lambda at, places: (
        open_mix_requests(at)
        .filter(mix__production__pk__among=places, mix__retired_at=None)
        .select_related("mix")
    ),
    column(OneTimeLink, "expires_at"),
    Several(column(Production)),
)


def _working(member: Member, counted: Mapping[str, int]) -> Iterable[ToDo]:
    place = member.production.pk
    if (n := counted["unsettled"]) and allowed(member.roles, Action.EDIT_RIG):
        url = f"{reverse('notes:index', args=[place])}?state=open"
        words = ngettext("{n} note is not settled", "{n} notes are not settled", n).format(n=n)
        if n > MANY:
            words = _("more than {n} notes are not settled").format(n=MANY)
        yield ToDo(words, url, "ear")
    if (n := counted["undecided"]) and allowed(member.roles, Action.RUN_TRIAL):
        url = reverse("notes:trials", args=[place])
        words = ngettext("{n} trial is undecided", "{n} trials are undecided", n).format(n=n)
        yield ToDo(words, url, "scale")


def _answering(user: User, member: Member, asked: list[Question]) -> Iterable[ToDo]:
    """The questions that this person owes an answer: asked of them, or of whoever knows."""
    if not allowed(member.roles, Action.ANSWER):
        return
    here = Counter(
        (question.handover.leg_id, question.handover.leg.name)
        for question in asked
        if question.handover.leg.production_id == member.production.pk
        and owes(question, user.pk, member.roles)
    )
    for (leg, name), count in here.items():
        url = reverse("notes:handover", args=[member.production.pk, leg])
        words = ngettext(
            "{n} question waits for an answer, {leg}",
            "{n} questions wait for an answer, {leg}",
            count,
        ).format(n=count, leg=name)
        yield ToDo(words, url, "message-circle-question-mark")


def _signing(member: Member, requests: list[SignRequest]) -> Iterable[ToDo]:
    for request in requests:
        if request.rig.production_id == member.production.pk and (
            request.player_id in member.player_ids
        ):
            url = reverse("notes:sign", args=[member.production.pk, request.rig_id])
            yield ToDo(
                _("“{rig}” waits for your signature").format(rig=request.rig), url, "signature"
            )


def _signing_mixes(member: Member, requests: list[MixSignRequest]) -> Iterable[ToDo]:
    place = member.production.pk
    for request in requests:
        # Whoever was asked before the mix became somebody else's has nothing to sign.
        mine = request.player_id in member.player_ids and request.player_id == request.mix.player_id
        if mine and request.mix.production_id == place:
            url = reverse("notes:mix_sign", args=[place, request.mix_id])
            yield ToDo(
                _("Mix “{mix}” waits for your signature").format(mix=request.mix), url, "signature"
            )


def _listening(member: Member, blind: list[BlindTrial]) -> Iterable[ToDo]:
    if allowed(member.roles, Action.LISTEN_BLIND):
        for each in blind:
            if each.production_id == member.production.pk:
                words = _("“{trial}” waits for a blind trial").format(trial=each.trial)
                yield ToDo(words, each.get_absolute_url(), "headphones")


def _legs_to_read(places: list[UUID]) -> list[Leg]:
    today = clock.now().date()
    return _legs(places, today, today + READ_BEFORE)


_legs = Composed(
    lambda places, today, before: Leg.objects.live().filter(
        production__pk__among=places,
        ends_on__gte=today,
        starts_on__lte=before,
        # Where nobody has written anything there is nothing to read.
        handover__isnull=False,
    ),
    Several(column(Production)),
    column(Leg, "ends_on"),
    column(Leg, "starts_on"),
)


def _unread(user: User, places: list[UUID], legs: list[Leg]) -> dict[UUID, list[ToDo]]:
    """Handovers of `legs`, not published yet, with sections this person has not read."""
    if not legs:
        return {}
    players = Counter(
        Player.objects.live().filter(production__in=places).values_list("production", flat=True)
    )
    read = Counter(
        Acknowledgement.objects.filter(user=user, handover__leg__in=legs)
        # Sections of players who left are not to be read, so having read one must not count.
        .exclude(player__retired_at__isnull=False)
        .values_list("handover__leg", flat=True)
    )
    by_production: dict[UUID, list[ToDo]] = {}
    for leg in legs:
        # One section for each player, and the general part.
        left = players[leg.production_id] + 1 - read[leg.pk]
        if left > 0:
            url = reverse("notes:handover", args=[leg.production_id, leg.pk])
            words = ngettext(
                "{n} section to read of the handover for {leg}",
                "{n} sections to read of the handover for {leg}",
                left,
            ).format(n=left, leg=leg)
            by_production.setdefault(leg.production_id, []).append(ToDo(words, url, "book-open"))
    return by_production
