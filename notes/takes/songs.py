"""Which song each take may be: by what was written while it was played, by the order of the set
and by how long it lasts. Pure; a proposal, which a person corrects."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from notes.takes.find import Span

# All of these are ours: how much each costs. A tenth off the length costs 0.3.
OFF = 3.0
AGAIN = 0.4  # the same song once more
LEFT_OUT = 0.6  # a song of the set that is not played
LATER = 0.3  # for each song of the set before the one that is begun with, at most twice that
OFF_MOST = 1.5  # at most: a false start may be much shorter than its song
AFTER_S = 600.0  # what is written so soon after a take may be about it


@dataclass(frozen=True, slots=True)
class SetSong:
    """A song of the set, and how long it lasts, s; None where nobody said."""

    song: UUID
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Heard:
    """Something was written about a song, `at_s` after the recording began."""

    at_s: float
    song: UUID


@dataclass(frozen=True, slots=True)
class Proposed:
    """`noted`: from what was written then, and not by the order of the set."""

    song: UUID | None
    noted: bool = False


def propose(
    takes: Sequence[Span], played: Sequence[SetSong], heard: Sequence[Heard] = ()
) -> list[Proposed]:
    """One for each of the takes, which are in order."""
    noted = [_noted(takes, at, heard) for at in range(len(takes))]
    ordered = _by_order(takes, played, noted)
    return [
        Proposed(song, noted=True) if song is not None else Proposed(by_order)
        for song, by_order in zip(noted, ordered, strict=True)
    ]


def _noted(takes: Sequence[Span], at: int, heard: Sequence[Heard]) -> UUID | None:
    """The song of what was written during the take or soon after it and before the next one; none
    where two songs were named."""
    until = min(
        takes[at].ends_s + AFTER_S, takes[at + 1].starts_s if at + 1 < len(takes) else math.inf
    )
    songs = {each.song for each in heard if takes[at].starts_s <= each.at_s < until}
    return songs.pop() if len(songs) == 1 else None


def _by_order(
    takes: Sequence[Span], played: Sequence[SetSong], noted: Sequence[UUID | None]
) -> list[UUID | None]:
    """The way through the set that costs least. Nothing is known where neither lengths nor the
    number of takes say where one is in it."""
    lengths = sum(each.seconds is not None for each in played)
    if not takes or not played or (2 * lengths < len(played) and len(takes) != len(played)):
        return [None] * len(takes)
    costs = [min(2 * LATER, LATER * song) for song in range(len(played))]
    came_from: list[list[int]] = []
    for number, take in enumerate(takes):
        before = [0] * len(played)
        if number:
            steps = [_cheapest(costs, song) for song in range(len(played))]
            costs, before = [cost for cost, _ in steps], [song for _, song in steps]
        costs = [
            cost + _mismatch(take, song, noted[number])
            for cost, song in zip(costs, played, strict=True)
        ]
        came_from.append(before)
    song = min(range(len(played)), key=costs.__getitem__)
    way = []
    for before in reversed(came_from):
        way.append(played[song].song)
        song = before[song]
    return list(reversed(way))


def _cheapest(costs: Sequence[float], song: int) -> tuple[float, int]:
    """What it costs at least to be at `song` with the next take, and which song was before it."""
    ways = [(cost + LEFT_OUT * (song - was - 1), was) for was, cost in enumerate(costs[:song])]
    return min([*ways, (costs[song] + AGAIN, song)])


def _mismatch(take: Span, song: SetSong, noted: UUID | None) -> float:
    if noted is not None:
        # A song that is not in the set at all is no hint where in the set one is.
        return 0.0 if noted == song.song else OFF_MOST
    if not song.seconds:
        return OFF_MOST / 3
    return min(OFF_MOST, OFF * abs(math.log(take.seconds / song.seconds)))
