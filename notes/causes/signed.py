"""Which sound was signed, how its takes scatter, and what a clip differs in from it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from django.core.cache import cache
from django.db.models import Q
from django.utils.translation import gettext as _

from core.languages.words import told
from notes.causes import rank
from notes.causes.hearing import Heard, hear
from notes.causes.history import History, history_of
from notes.causes.kept import METHOD, as_measured, keep, kept
from notes.causes.rank import Ranking
from notes.causes.scatter import FEWEST, Scatter, assumed, measured, pieces_of, together
from notes.clips.relation import relation_of, samples_of
from notes.listening.samples import Samples
from notes.models import AlternativeClip, ChangeClip, Clip, SignedScatter, SignOff

T = TypeVar("T")

MOST_TAKES = 6
_CACHED_S = 60 * 60 * 24 * 30


class NoSignedSound(Exception):
    """There is nothing to compare with; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class Tonight:
    """One clip against the signed sound of its input. `signed` is what was signed with `sign_off`;
    `history` is what changed on the rig between the two; `kept` is what was put on record of the
    signed sound, None where nothing could be."""

    clip: Clip
    signed: Clip
    sign_off: SignOff
    ranking: Ranking
    history: History
    one_performance: bool
    kept: SignedScatter | None = None


def against_signed(clip: Clip) -> Tonight:
    """Raises NoSignedSound, StoredFileUnreadable."""
    sign_off = _sign_off(clip)
    signed = sign_off.clip
    assert signed is not None  # noqa: S101 - it is asked for below
    history = history_of(sign_off, clip)
    try:
        reference, spread, row, one = _signed_sound(sign_off, signed, clip)
        ranking = rank.rank(reference, _heard(clip), spread, history=history.fitting)
    except ValueError as error:
        raise NoSignedSound(
            _("These two cannot be compared: {why}.").format(why=told(error.args[0]))
        ) from None
    return Tonight(clip, signed, sign_off, ranking, history, one, row)


def _sign_off(clip: Clip) -> SignOff:
    """The newest signature whose clip is of the same input."""
    found: SignOff | None = (
        SignOff.objects.filter(
            rig=clip.rig_id, decision=SignOff.Decision.SIGNED, clip__input=clip.input_id
        )
        .select_related("revision", "clip__sound", "clip__input", "clip__revision")
        .order_by("-at", "-pk")
        .first()
    )
    if found is None:
        raise NoSignedSound(
            _(
                "No clip of this input was signed. Choose one when the sound is signed next: what "
                "is signed without a sound cannot be heard again."
            )
        )
    if found.clip_id == clip.pk:
        raise NoSignedSound(_("This is the clip that was signed."))
    return found


def _signed_sound(
    sign_off: SignOff, signed: Clip, clip: Clip
) -> tuple[Heard, Scatter, SignedScatter | None, bool]:
    """What the clip is set against, how far takes of it scatter, the record of that, and whether
    both hold one performance, which scatters hardly at all."""
    if relation_of(signed, clip).one_performance:
        return _heard(signed), assumed(one_performance=True), None, True
    row = _on_record(sign_off, signed, clip)
    if row is not None:
        return *as_measured(row), row, False
    takes = [each for each in _takes(sign_off, signed) if each.pk != clip.pk]
    found = _measured(takes)
    return *(found or (_heard(signed), assumed(one_performance=False))), None, False


def _on_record(sign_off: SignOff, signed: Clip, clip: Clip) -> SignedScatter | None:
    """The record of the signed sound, made now where there is none, or more takes than it has.
    None where there is nothing to measure, or the clip is one of the takes itself."""
    takes, row = _takes(sign_off, signed), kept(sign_off)
    if clip in takes or (row is not None and clip.working in row.takes):
        return None
    if row is not None and (len(takes) < FEWEST or len(takes) <= len(row.takes)):
        return row
    found = _measured(takes)
    if found is None:
        return row
    return keep(sign_off, takes[:1] if found[1].pieces else takes, *found)


def _measured(takes: Sequence[Clip]) -> tuple[Heard, Scatter] | None:
    """From three takes or more, else from pieces of the first; None where that is too short."""
    if len(takes) >= FEWEST:
        heard = [_heard(each) for each in takes]
        return together(heard), measured(heard)
    pieces = _pieces(takes[0])
    if len(pieces) >= FEWEST:
        return together(pieces), measured(pieces, pieces=True)
    return None


def _takes(sign_off: SignOff, signed: Clip) -> Sequence[Clip]:
    return takes_of(signed, sign_off.at)


def takes_of(signed: Clip, at: datetime) -> Sequence[Clip]:
    """The signed clip, and others of the same input and state of the rig up to the signature. What
    was tried another way, or stands for how it was before a change, is no take of it. Later ones
    are not: whether they still sound like it is the question. `at`: when it was signed."""
    tried = AlternativeClip.objects.filter(clip=signed).values("alternative")
    same_way = Q(tried_as__alternative__in=tried)
    if not tried.exists():
        same_way = Q(tried_as=None)
    others = (
        Clip.objects.filter(input=signed.input_id, revision=signed.revision_id, retired_at=None)
        .filter(Q(recorded_at__lte=at) | Q(recorded_at=None, brought_at__lte=at))
        .filter(same_way)
        .exclude(pk=signed.pk)
        .exclude(pk__in=ChangeClip.objects.filter(side=ChangeClip.When.BEFORE).values("clip"))
        .select_related("sound")
        .order_by("-brought_at", "-pk")
    )
    return [signed, *others[: MOST_TAKES - 1]]


def _heard(clip: Clip) -> Heard:
    return _cached(clip, "whole", hear)


def _pieces(clip: Clip) -> list[Heard]:
    return _cached(clip, "pieces", pieces_of)


def _cached(clip: Clip, what: str, read: Callable[[Samples, float], T]) -> T:
    """What `read` makes of the samples, kept, since it follows from the bytes."""
    key = f"causes/{what}/{METHOD.replace(' ', '+')}/{clip.working}"
    return cache.get_or_set(  # type: ignore[return-value]
        key, lambda: read(samples_of(clip), float(clip.sound.rate_hz)), _CACHED_S
    )
