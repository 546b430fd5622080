"""How two clips lie in time: estimated once for two clips, then cached under their digests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from django.core.cache import cache

from core.languages.marked import both_said
from notes.clips import uploads
from notes.clips.samples import start_of
from notes.clips.storage import check_sounds
from notes.listening.beginning import Beginning
from notes.listening.doubt import PACKED_ALIKE, UnclearTiming, packed
from notes.listening.relation import LONGEST_S, METHOD, Relation, relate
from notes.listening.samples import Samples
from notes.models import Clip, StoredSound

_CACHED_S = 60 * 60 * 24 * 30


def samples_of(clip: Clip) -> Samples:
    """As much of a clip as is compared, float32 of shape (frames, channels).

    Raises StoredFileUnreadable.
    """
    return start_of(clip, round(LONGEST_S * clip.sound.rate_hz))


def relation_of(
    first: Clip, second: Clip, samples: Callable[[Clip], Samples] = samples_of
) -> Relation:
    """How `second` lies in time against `first`; both with their sounds loaded.

    `samples` reads 30 s of a clip, or more. Raises StoredFileUnreadable, also where the relation is
    cached.
    """
    check_sounds(first, second)
    cut_s = float(second.starts_s - first.starts_s)
    key = "/".join(
        ["relation", METHOD.replace(" ", "+"), f"{cut_s}", first.working, second.working]
    )
    relation: Relation | None = cache.get(key)
    if relation is None:
        relation = _related(first, second, cut_s, samples)
        cache.set(key, relation, _CACHED_S)
    # Not cached with the rest: it follows from the rows of the sounds and not from their samples.
    doubt, remark = packing(first.sound, second.sound)
    known = replace(relation, packing=doubt)
    return replace(known, remark=both_said(remark, known.drift_words))


def packing(first: StoredSound, second: StoredSound) -> tuple[UnclearTiming | None, str]:
    """What the files leave open of the time between two sounds, and what is taken for granted.

    Two channels of one file are late together, and so are two files that one device packed alike.
    """
    if first.pk == second.pk:
        return None, ""
    unknown = [each for each in (first, second) if uploads.beginning_of(each) == Beginning.UNKNOWN]
    if not unknown:
        return None, ""
    if len(unknown) > 1 and _packed(first) == _packed(second):
        return None, PACKED_ALIKE
    return packed(tuple(f"“{each}”" for each in unknown)), ""


def _packed(sound: StoredSound) -> tuple[str, int, int]:
    return sound.format, sound.rate_hz, sound.channels


def _related(
    first: Clip, second: Clip, cut_s: float, samples: Callable[[Clip], Samples]
) -> Relation:
    rates = (float(first.sound.rate_hz), float(second.sound.rate_hz))
    one, other = samples(first), samples(second)
    try:
        return relate(one, other, rates, cut_s=cut_s)
    except ValueError as error:
        return Relation(None, 0.0, refused=error.args[0])
