"""Which sound was signed, how its takes scatter, and what the history knows of since then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.core.cache import cache
from django.db.models import Q

from notes.causes import hearing, rank, scatter
from notes.causes.hearing import Heard, hear
from notes.causes.kinds import ALL
from notes.causes.rank import Ranking
from notes.causes.scatter import FEWEST, Scatter, assumed, measured, pieces_of, together
from notes.clips.relation import relation_of, samples_of
from notes.listening.samples import Samples
from notes.models import AlternativeClip, ChangeClip, Clip, SignOff
from notes.signing.net_changes import between
from notes.signing.since import NONE as NOTHING_SINCE
from notes.signing.since import Since, since_revision
from rigs.models import Control

T = TypeVar("T")

MOST_TAKES = 6
_METHOD = f"{hearing.METHOD} {scatter.METHOD}"
_CACHED_S = 60 * 60 * 24 * 30


class NoSignedSound(Exception):
    """There is nothing to compare with; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class Tonight:
    """One clip against the signed sound of its input. `signed` is what was signed with `sign_off`;
    `since` is what changed on the rig from that revision on."""

    clip: Clip
    signed: Clip
    sign_off: SignOff
    ranking: Ranking
    since: Since
    one_performance: bool


def against_signed(clip: Clip) -> Tonight:
    """Raises NoSignedSound, StoredFileUnreadable."""
    sign_off = _sign_off(clip)
    signed = sign_off.clip
    assert signed is not None  # noqa: S101 - it is asked for below
    number = sign_off.revision.number
    try:
        ranking, one = _ranked(clip, signed, sign_off, _pointing(clip, number))
    except ValueError as error:
        raise NoSignedSound(f"These two cannot be compared: {error}.") from None
    since = since_revision(clip.rig, number) if clip.rig.head_number > number else NOTHING_SINCE
    return Tonight(clip, signed, sign_off, ranking, since, one)


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
            "No clip of this input was signed. Choose one when the sound is signed next: what is "
            "signed without a sound cannot be heard again."
        )
    if found.clip_id == clip.pk:
        raise NoSignedSound("This is the clip that was signed.")
    return found


def _ranked(
    clip: Clip, signed: Clip, sign_off: SignOff, pointing: set[str]
) -> tuple[Ranking, bool]:
    tonight = _heard(clip)
    one = bool(relation_of(signed, clip).one_performance)
    if one:
        reference, spread = _heard(signed), assumed(one_performance=True)
    else:
        reference, spread = _scattered(sign_off, signed, clip)
    return rank.rank(reference, tonight, spread, history=pointing), one


def _scattered(sign_off: SignOff, signed: Clip, clip: Clip) -> tuple[Heard, Scatter]:
    """The signed sound and how it scatters, from three clips of it, or from pieces of the one."""
    takes = [_heard(each) for each in _takes(sign_off, signed, clip)]
    if len(takes) >= FEWEST:
        return together(takes), measured(takes)
    pieces = _pieces(signed)
    if len(pieces) >= FEWEST:
        return together(pieces), measured(pieces, pieces=True)
    return _heard(signed), assumed(one_performance=False)


def _takes(sign_off: SignOff, signed: Clip, clip: Clip) -> Sequence[Clip]:
    """The signed clip, and others of the same input and state of the rig up to the signature; what
    was tried another way, or stands for how it was before a change, is no take of it. Later ones
    are not: whether they still sound like it is the question."""
    at = sign_off.at
    tried = AlternativeClip.objects.filter(clip=signed).values("alternative")
    others = (
        Clip.objects.filter(input=signed.input_id, revision=signed.revision_id, retired_at=None)
        .filter(Q(recorded_at__lte=at) | Q(recorded_at=None, brought_at__lte=at))
        .filter(Q(tried_as=None) | Q(tried_as__alternative__in=tried))
        .exclude(pk__in=[signed.pk, clip.pk])
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
    key = f"causes/{what}/{_METHOD.replace(' ', '+')}/{clip.working}"
    return cache.get_or_set(  # type: ignore[return-value]
        key, lambda: read(samples_of(clip), float(clip.sound.rate_hz)), _CACHED_S
    )


def _pointing(clip: Clip, number: int) -> set[str]:
    """Kinds of causes that something the history changed since points to."""
    if clip.rig.head_number <= number:
        return set()
    found = between([clip.rig], {clip.rig_id: (number, clip.rig.head_number)})[clip.rig_id]
    touched = {
        (each.change.kind, each.change.field)
        for each in found
        # Another input's microphone does nothing to this one.
        if each.change.kind != "input" or each.change.part == str(clip.input_id)
    }
    turned = {each.change.part for each in found if each.change.kind == "control"}
    names = [name.lower() for name in _names_of(turned)]
    return {
        kind.key
        for kind in ALL
        if any(
            part == known and (not field or name.startswith(field))
            for part, field in kind.fields
            for known, name in touched
        )
        or any(word in name for word in kind.controls for name in names)
    }


def _names_of(controls: set[str]) -> list[str]:
    if not controls:
        return []
    return list(Control.objects.filter(pk__in=controls).values_list("name", flat=True))
