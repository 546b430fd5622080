"""How two clips lie in time: the estimator, asked once for two clips and kept by their bytes."""

from __future__ import annotations

from collections.abc import Callable

from django.core.cache import cache

from notes.clips.samples import start_of
from notes.listening.relation import LONGEST_S, METHOD, Relation, relate
from notes.listening.samples import Samples
from notes.models import Clip

_KEPT_S = 60 * 60 * 24 * 30


def beginning_of(clip: Clip) -> Samples:
    """As much of it as is compared. Raises FileNotFoundError where the storage has lost it."""
    return start_of(clip, round(LONGEST_S * clip.sound.rate_hz))


def relation_of(
    first: Clip, second: Clip, samples: Callable[[Clip], Samples] = beginning_of
) -> Relation:
    """Of two clips with their sounds. `samples` reads 30 s of a clip, or more.

    Raises FileNotFoundError where the storage has lost a clip's sound.
    """
    cut_s = float(second.starts_s - first.starts_s)
    key = "/".join(
        ["relation", METHOD.replace(" ", "+"), f"{cut_s}", first.working, second.working]
    )
    found = cache.get(key)
    if found is None:
        found = _related(first, second, cut_s, samples)
        cache.set(key, found, _KEPT_S)
    return found  # type: ignore[no-any-return]


def _related(
    first: Clip, second: Clip, cut_s: float, samples: Callable[[Clip], Samples]
) -> Relation:
    rates = (float(first.sound.rate_hz), float(second.sound.rate_hz))
    one, other = samples(first), samples(second)
    try:
        return relate(one, other, rates, cut_s=cut_s)
    except ValueError as error:
        return Relation(None, 0.0, refused=str(error))
