"""The outcome of a blind trial: put on record in English, told in the language of the reader.

Later methods must not judge differently what was decided on, so it is kept as sentences, and found
again by their messages.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from core.languages.marked import Said, gettext_noop, ngettext_lazy
from core.languages.sentences import each_retold
from core.languages.words import Message, retold, retold_in_turn
from notes.blind.sound import APART, apart_words
from notes.listening.blind import JUDGEMENTS, RESULT, SHARES, Judgement, Result, together
from notes.models import BlindSitting, BlindTrial

NOBODY = gettext_noop("Nobody listened to the end.")
TOGETHER = gettext_noop("{listeners} listeners together.")
ALONE = gettext_noop("Taken alone, {listeners} of them heard one.")
ONE = gettext_noop("One listener.")
EACH_ALONE = (
    gettext_noop(
        "A difference was heard, each taken alone ({rights} right): {heard} of {listeners} "
        "listeners heard one. What all heard together is judged only where all listen to the end "
        "who were to."
    ),
    gettext_noop(
        "No reliable difference heard, each taken alone ({rights} right): {heard} of {listeners} "
        "listeners heard one. What all heard together is judged only where all listen to the end "
        "who were to."
    ),
)
RIGHT = gettext_noop("{right} of {rounds}")
STOPPED = (
    "One listener began and stopped, after {rounds} rounds.",
    "{n} listeners began and stopped, after {rounds} rounds.",
)
LIKED = (
    "Preferred: “{first}” in {n} round, “{second}” in {rounds}.",
    "Preferred: “{first}” in {n} rounds, “{second}” in {rounds}.",
)
TRIED = gettext_noop(
    "It was blind trial {number} of these two clips: each more gives luck one more chance, so read "
    "all of them."
)
PLAYING = (
    gettext_noop("The two clips are two performances: what was heard may be the playing."),
    gettext_noop("The two clips may be two performances: what was heard may be the playing."),
)
MESSAGES: tuple[Message, ...] = (
    *(NOBODY, TOGETHER, ALONE, ONE, *EACH_ALONE, STOPPED, LIKED, TRIED, *PLAYING),
    *(*JUDGEMENTS, APART),
)


def in_sentences(
    blind: BlindTrial,
    sittings: Sequence[BlindSitting],
    done: Sequence[Result],
    judgement: Judgement | None,
) -> str:
    """What goes on record: what was heard, by how many, who stopped, and how often it was tried. In
    English, whoever closes it. `done` are the results of those who listened to the end."""
    heard = [NOBODY] if judgement is None else _heard(judgement, len(done))
    liked = _liked(together(done), blind) if done else []
    more = [playing(blind), apart_words(blind)] if done else []
    said = [*heard, *_stopped(sittings), *liked, *_tried_before(blind), *filter(None, more)]
    return " ".join(said)


def outcome_told(outcome: str) -> str:
    """What was put on record, in the language of the reader."""
    return retold_in_turn(
        outcome,
        MESSAGES,
        result=lambda said: retold(said, [RESULT], share=_share_told),
        share=_share_told,
        rights=_rounds_told,
        rounds=_rounds_told,
    )


def _share_told(share: str) -> str:
    return retold(share, SHARES)


def _rounds_told(rounds: str) -> str:
    """“5 of 8, 3 of 8”."""
    return each_retold(rounds, lambda each: retold(each, [RIGHT]))


def _heard(judgement: Judgement, done: int) -> list[str]:
    alone = sum(each.told_apart for each in judgement.each)
    if judgement.together is not None:
        each = [Said(ALONE, listeners=alone)] if alone else []
        return [judgement.together.words, Said(TOGETHER, listeners=done), *each]
    if done == 1:
        return [judgement.each[0].words, ONE]
    rights = (Said(RIGHT, right=e.result.right, rounds=e.result.rounds) for e in judgement.each)
    words = EACH_ALONE[0 if judgement.told_apart else 1]
    return [Said(words, rights=", ".join(rights), heard=alone, listeners=done)]


def _stopped(sittings: Iterable[BlindSitting]) -> list[str]:
    counts = [(len(each.answers.all()), len(each.order)) for each in sittings]
    rounds = [Said(RIGHT, right=given, rounds=all_) for given, all_ in counts if given < all_]
    if not rounds:
        return []
    return [
        ngettext_lazy(
            "One listener began and stopped, after {rounds} rounds.",
            "{n} listeners began and stopped, after {rounds} rounds.",
            len(rounds),
            rounds=", ".join(rounds),
        )
    ]


def _liked(result: Result, blind: BlindTrial) -> list[str]:
    if not (result.prefers_a or result.prefers_b):
        return []
    return [
        ngettext_lazy(
            "Preferred: “{first}” in {n} round, “{second}” in {rounds}.",
            "Preferred: “{first}” in {n} rounds, “{second}” in {rounds}.",
            result.prefers_a,
            first=str(blind.clip_a),
            second=str(blind.clip_b),
            rounds=result.prefers_b,
        )
    ]


def _tried_before(blind: BlindTrial) -> list[str]:
    """Listening again until luck helps cannot be forbidden; it is put on record."""
    both = [blind.clip_a_id, blind.clip_b_id]
    before = BlindTrial.objects.filter(
        # In either order.
        clip_a__in=both,
        clip_b__in=both,
        opened_at__lt=blind.opened_at,
    ).count()
    return [Said(TRIED, number=before + 1)] if before else []


def playing(blind: BlindTrial) -> str:
    """What must be said of two clips that are not surely of one performance; to be told, or kept
    in English."""
    if blind.one_performance:
        return ""
    return Said(PLAYING[0 if blind.one_performance is False else 1])
