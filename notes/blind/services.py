"""Open a blind trial, begin to listen, answer, close. Each of these is one transaction."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core import clock
from core.models import Membership, Player, User
from core.stored_files import StoredFileUnreadable
from notes.blind.on_record import in_sentences
from notes.blind.sound import gains_of
from notes.comparing.measure import Ears
from notes.listening.blind import Judgement, Result, Round, judge, make_order, seal
from notes.models import BlindAnswer, BlindSitting, BlindTrial, Clip, Trial

# The operating system's source: an order that can be foreseen is not blind.
CHANCE = secrets.SystemRandom()


def open_blind(
    *, trial: Trial, clip_a: Clip, clip_b: Clip, rounds: int, listeners: int, by: User
) -> BlindTrial:
    """Open a blind trial of two clips of the trial's input.

    Clips of one performance are brought in step first: which of two begins earlier would tell.
    Raises ValidationError for clips that cannot be set against each other unseen.
    """
    for clip in (clip_a, clip_b):
        if clip.input_id != trial.input_id:
            raise ValidationError(_("“{clip}” is not a clip of this input.").format(clip=clip))
    if clip_a.pk == clip_b.pk:
        raise ValidationError({"clip_b": _("Take two different clips.")})
    if clip_a.sound.rate_hz != clip_b.sound.rate_hz:
        raise ValidationError({"clip_b": _("Its sample rate differs, and that could be heard.")})
    one, leads = _in_step(clip_a, clip_b)
    try:
        gains = gains_of((clip_a, clip_b), leads)
    except StoredFileUnreadable as error:
        raise ValidationError(str(error)) from None
    # Gains and leads are stored, so that every listener hears the same, whatever method comes
    # later.
    made = BlindTrial(
        production=trial.production,
        trial=trial,
        clip_a=clip_a,
        clip_b=clip_b,
        rounds=rounds,
        listeners=listeners,
        gain_a_db=gains[0],
        gain_b_db=gains[1],
        lead_a_s=leads[0],
        lead_b_s=leads[1],
        one_performance=one,
        opened_by=by,
    )
    made.full_clean(exclude=["production", "trial", "opened_by", "closed_by"])
    made.save(force_insert=True)
    return made


def _in_step(clip_a: Clip, clip_b: Clip) -> tuple[bool | None, tuple[float, float]]:
    """Whether they hold one performance, and how far into each the moment lies that both share."""
    try:
        relation = Ears().relation(clip_a, clip_b)
    except StoredFileUnreadable as error:
        raise ValidationError(str(error)) from None
    step_s = relation.in_step_s
    return relation.one_performance, (max(0.0, -step_s), max(0.0, step_s))


@transaction.atomic
def begin(*, blind: BlindTrial, by: User | Player) -> BlindSitting:
    """The listener's sitting; drawn and sealed now if there is none yet. A musician listens by a
    link, without an account.

    Raises ValidationError where it is closed, or as many have begun as were to listen, or the
    musician has begun the other way.
    """
    locked = BlindTrial.objects.select_for_update().get(pk=blind.pk)  # what two tabs queue at
    # Even of a trial that is closed: one's own sitting may always be looked at.
    who = {"player": by} if isinstance(by, Player) else {"user": by}
    if mine := BlindSitting.objects.filter(blind=locked, **who).first():
        return mine
    check_may_begin(locked, by)
    order, nonce = make_order(locked.rounds, CHANCE), secrets.token_hex(32)
    return BlindSitting.objects.create(
        blind=blind,
        **who,
        order=[list(each) for each in order],
        nonce=nonce,
        seal=seal(order, nonce),
    )


def check_may_begin(blind: BlindTrial, by: User | Player) -> None:
    """Raise ValidationError unless `by`, who has not begun, may."""
    if not blind.is_open:
        raise ValidationError(_("This blind trial is closed."))
    # One person heard twice would count as two, and the second time knows the first.
    if _began_the_other_way(blind, by):
        raise ValidationError(_("This musician has begun already, with an account or by a link."))
    if blind.listeners is not None and blind.sittings.count() >= blind.listeners:
        raise ValidationError(_("As many have begun as were to listen."))


def _began_the_other_way(blind: BlindTrial, by: User | Player) -> bool:
    here = Membership.objects.filter(production=blind.production_id)
    if isinstance(by, Player):
        return blind.sittings.filter(user__in=here.filter(player=by).values("user")).exists()
    own = here.filter(user=by, player__isnull=False).values("player")
    return blind.sittings.filter(player__in=own).exists()


@transaction.atomic
def answer(*, sitting: BlindSitting, number: int, x: str, prefers: str = "") -> None:
    """Take the answer to round `number`, counted from 1. A second one changes nothing.

    Raises ValidationError for a round that is not the next, and for what is no answer.
    """
    if x not in ("first", "second") or prefers not in ("", "first", "second"):
        raise ValidationError(_("Say which of the two X is."))
    # The sitting itself never changes; its blind trial's row is what two tabs queue at.
    BlindTrial.objects.select_for_update().get(pk=sitting.blind_id)
    done = sitting.answers.count()
    # The form was sent twice; the first answer stands.
    if number <= done:
        return
    if number != done + 1 or number > len(sitting.order):
        raise ValidationError(_("That round is not the next one."))
    BlindAnswer.objects.create(sitting=sitting, number=number, x=x, prefers=prefers)


def result_of(sitting: BlindSitting) -> Result | None:
    """The result of a sitting; None until every round is answered. Uses prefetched answers."""
    answers, order = list(sitting.answers.all()), sitting.drawn
    if len(answers) < len(order):
        return None
    rounds = list(zip(answers, order, strict=True))
    preferred = [drawn.clip(given.prefers) for given, drawn in rounds if given.prefers]
    return Result(
        rounds=len(order),
        right=sum(given.x == drawn.x for given, drawn in rounds),
        prefers_a=preferred.count("a"),
        prefers_b=preferred.count("b"),
    )


def judged(blind: BlindTrial, results: Sequence[Result], begun: int) -> Judgement:
    """The judgement of those who listened to the end; `begun` is how many began."""
    if blind.listeners is None:  # then one place more: what all heard together is not judged
        return judge(results, begun + 1)
    return judge(results, blind.listeners)


@transaction.atomic
def close(*, blind: BlindTrial, by: User) -> BlindTrial:
    """Put the outcome on record, also where no reliable difference was heard, and end the
    listening.

    Raises ValidationError where nobody has begun to listen.
    """
    locked = BlindTrial.objects.select_for_update().get(pk=blind.pk)
    if not locked.is_open:
        raise ValidationError(_("It is closed already."))
    sittings = list(locked.sittings.prefetch_related("answers"))
    if not sittings:
        raise ValidationError(_("Nobody has listened yet."))
    for each in sittings:
        each.blind = locked
    locked.outcome = outcome(locked, sittings)
    locked.closed_by, locked.closed_at = by, clock.now()
    locked.save(update_fields=["outcome", "closed_by", "closed_at"])
    return locked


def outcome(blind: BlindTrial, sittings: Sequence[BlindSitting]) -> str:
    """What goes on record of what was heard, in English."""
    done = [result for each in sittings if (result := result_of(each)) is not None]
    judgement = judged(blind, done, len(sittings)) if done else None
    return in_sentences(blind, sittings, done, judgement)


def broken_sittings(production: UUID | str | None = None) -> Iterator[str]:
    """Every sitting whose order is not the one that was sealed, in words."""
    sittings = BlindSitting.objects.select_related("blind__production", "user", "player")
    if production:
        sittings = sittings.filter(blind__production=UUID(str(production)))
    for sitting in sittings.iterator():
        try:
            holds = seal([Round(*each) for each in sitting.order], sitting.nonce) == sitting.seal
        except (TypeError, ValueError):
            holds = False
        if not holds:
            place = f"{sitting.blind.production} · {sitting.blind}"
            yield f"{place}: the order of {sitting.listener} is not the one that was sealed."
