"""What waits for somebody in the notes: open notes, trials, questions, signatures, reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import timedelta
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core import clock
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.models import Leg, Player, User
from core.places import ToDo
from notes.blind.results import to_hear_blind
from notes.handover.newest import newest_by_leg
from notes.handover.questions import owes
from notes.handover.to_dos import reading_to_dos
from notes.models import (
    Acknowledgement,
    BlindTrial,
    MixSignRequest,
    Note,
    Question,
    SignRequest,
    Trial,
)
from notes.monitors.signing import open_requests as open_mix_requests
from notes.signing.requests import open_requests
from notes.states import unsettled

# A handover waits to be read from four weeks before its leg until the leg is over.
READ_BEFORE = timedelta(weeks=4)


def to_dos(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What waits for somebody, by production. At most fourteen queries for any number of these."""
    places = [member.production.pk for member in members]
    notes = _count(unsettled(Note.objects.filter(production__in=places)), "production")
    trials = _count(Trial.objects.filter(production__in=places, decided_at=None), "production")
    asked = list(
        Question.objects.filter(handover__leg__production__in=places, answers=None)
        .select_related("handover__leg")
        .order_by("asked_at")
    )
    signatures = list(open_requests().filter(rig__production__in=places).select_related("rig"))
    mixes = list(
        open_mix_requests()
        .filter(mix__production__in=places, mix__retired_at=None)
        .select_related("mix")
    )
    blind = list(to_hear_blind(user, places))
    legs = _legs_to_read(places)
    newest = newest_by_leg(legs)
    unread = _unread(user, places, [leg for leg in legs if leg.pk not in newest])
    published = reading_to_dos(user, members, legs, newest)
    return {
        member.production.pk: [
            *_working(member, notes, trials),
            *_answering(user, member, asked),
            *_signing(member, signatures),
            *_signing_mixes(member, mixes),
            *_listening(member, blind),
            *unread.get(member.production.pk, ()),
            *published.get(member.production.pk, ()),
        ]
        for member in members
    }


def _count(rows: Iterable[object], field: str) -> Counter[UUID]:
    return Counter(getattr(row, f"{field}_id") for row in rows)


def _working(member: Member, notes: Counter[UUID], trials: Counter[UUID]) -> Iterable[ToDo]:
    place = member.production.pk
    if notes[place] and allowed(member.roles, Action.EDIT_RIG):
        url = f"{reverse('notes:index', args=[place])}?state=open"
        n = notes[place]
        words = ngettext("{n} note is not settled", "{n} notes are not settled", n).format(n=n)
        yield ToDo(words, url, "ear")
    if trials[place] and allowed(member.roles, Action.RUN_TRIAL):
        url = reverse("notes:trials", args=[place])
        n = trials[place]
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
    return list(
        Leg.objects.live().filter(
            production__in=places,
            ends_on__gte=today,
            starts_on__lte=today + READ_BEFORE,
            # Where nobody has written anything there is nothing to read.
            handover__isnull=False,
        )
    )


def _unread(user: User, places: list[UUID], legs: list[Leg]) -> dict[UUID, list[ToDo]]:
    """Handovers of `legs`, not published yet, with sections this person has not read."""
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
