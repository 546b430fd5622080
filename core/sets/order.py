"""What is played at a show, in order. Everybody who needs the set of a show asks here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from core.composed import Composed, Several, column
from core.models import Production, SetEntry, Show, ShowSet, Song

Kind = SetEntry.Kind


@dataclass(frozen=True, slots=True)
class SetLine:
    """A line of a set; times in s, None where not known.

    `number` counts the songs that are played, from 1; it is None for a cut and for what is no song.
    `gap_s` is the time from the end of a song that is played to the next one.
    """

    id: UUID
    kind: str
    song: Song | None = None
    title: str = ""
    cut: bool = False
    reprise: bool = False
    joined: bool = False
    note: str = ""
    length_s: int | None = None  # stated for this show; see `seconds`
    number: int | None = None
    gap_s: int | None = None

    @property
    def is_song(self) -> bool:
        return self.kind == Kind.SONG

    @property
    def is_played(self) -> bool:
        return self.is_song and not self.cut

    @property
    def seconds(self) -> int | None:
        """How long it lasts at this show."""
        if self.length_s is not None or self.song is None:
            return self.length_s
        return self.song.length_s

    @property
    def name(self) -> str:
        return self.song.title if self.song is not None else self.title

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class SetOfShow:
    """The set of a show, or of a production where no show is meant.

    `version` counts the changes of a set that a show has of its own. It is 0 where a show has none
    and plays the songs of the production in their order.
    """

    lines: tuple[SetLine, ...]
    version: int = 0
    target_s: int | None = None

    @property
    def is_own(self) -> bool:
        return self.version > 0

    @property
    def played(self) -> tuple[SetLine, ...]:
        """The songs that are played, in order; one may stand there again as a reprise."""
        return tuple(line for line in self.lines if line.is_played)

    @property
    def _lasting(self) -> list[int | None]:
        played = self.played
        # The gap after the last song is no part of the set.
        return [line.seconds for line in played] + [line.gap_s for line in played[:-1]]

    @property
    def seconds(self) -> int:
        """Of songs, gaps and breaks, as far as they are known."""
        return sum(each for each in self._lasting if each is not None)

    @property
    def is_whole(self) -> bool:
        """Whether all lengths and gaps are known."""
        return None not in self._lasting

    @property
    def over_s(self) -> int | None:
        """Seconds more than wanted, negative for less; None where no length is wanted."""
        return None if self.target_s is None else self.seconds - self.target_s


def set_of_show(show: Show) -> SetOfShow:
    """The set of `show`, else the songs of its production in order. Three queries at most.

    `show.leg` must be at hand.
    """
    return sets_of_shows([show])[show.pk]


def sets_of_shows(shows: Sequence[Show]) -> dict[UUID, SetOfShow]:
    """The set of each show, by its id. Three queries at most, however many shows.

    The shows have their legs at hand.
    """
    own = own_sets(shows)
    without = {show.leg.production_id for show in shows if show.pk not in own}
    songs: dict[UUID, list[Song]] = {production: [] for production in without}
    for song in _songs(without) if without else ():
        songs[song.production_id].append(song)
    return {
        show.pk: own[show.pk]
        if show.pk in own
        else SetOfShow(numbered(lines_of_songs(songs[show.leg.production_id], show.pk)))
        for show in shows
    }


def own_sets(shows: Sequence[Show]) -> dict[UUID, SetOfShow]:
    """The sets of those shows that have one of their own. Two queries at most; one where they were
    read with their `own_set`."""
    own = {each.show_id: each for each in _show_sets(shows)}
    entries: dict[UUID, list[SetLine]] = {each.pk: [] for each in own.values()}
    for entry in _entries([each.pk for each in own.values()]) if own else ():
        entries[entry.set_id].append(line_of(entry))
    return {show: _own(each, entries[each.pk]) for show, each in own.items()}


def _show_sets(shows: Sequence[Show]) -> Iterable[ShowSet]:
    if all(_OWN_SET.is_cached(show) for show in shows):
        return [show.own_set for show in shows if _OWN_SET.get_cached_value(show)]
    return _sets([show.pk for show in shows])


_OWN_SET: Any = Show._meta.get_field("own_set")


def set_of_production(production: Production) -> SetOfShow:
    """The songs of a production in order, where no show is meant. One query."""
    return SetOfShow(numbered(lines_of_songs(_songs([production.pk]), production.pk)))


def line_of(entry: SetEntry) -> SetLine:
    return SetLine(
        entry.pk,
        entry.kind,
        entry.song,
        entry.title,
        entry.cut,
        entry.reprise,
        entry.joined,
        entry.note,
        entry.length_s,
    )


def lines_of_songs(songs: Iterable[Song], about: UUID) -> list[SetLine]:
    """A line for each song. Their ids are the same each time, so that a set that is not written
    down yet can be changed by the ids that a page showed."""
    return [SetLine(uuid5(about, str(song.pk)), Kind.SONG, song) for song in songs]


def numbered(lines: Iterable[SetLine]) -> tuple[SetLine, ...]:
    """The lines with their numbers and the gaps between songs, as they follow from the order."""
    result = list(lines)
    at_songs = [at for at, line in enumerate(result) if line.is_played]
    for number, at in enumerate(at_songs, start=1):
        end = at_songs[number] if number < len(at_songs) else len(result)
        following = result[end] if end < len(result) else None
        gap = _gap(result[at], result[at + 1 : end], following)
        result[at] = replace(result[at], number=number, gap_s=gap)
    for at, line in enumerate(result):
        if not line.is_played:
            result[at] = replace(line, number=None, gap_s=None)
    return tuple(result)


def _gap(song: SetLine, between: Sequence[SetLine], following: SetLine | None) -> int | None:
    """Seconds from `song` to `following`, with the breaks and spoken words that lie between."""
    breaks = [line for line in between if line.kind == Kind.BREAK]
    if any(line.length_s is None for line in breaks):
        return None
    spoken = [line for line in between if line.kind == Kind.NOTE]
    more = sum(line.length_s or 0 for line in (*breaks, *spoken))
    if following is not None and following.joined and not breaks:
        return more
    own = song.song.gap_s if song.song is not None else None
    # In a break there is time whatever the song's own gap would have been.
    if own is None and not breaks:
        return None
    return (own or 0) + more


def _own(own: ShowSet, lines: Iterable[SetLine]) -> SetOfShow:
    return SetOfShow(numbered(lines), own.version, own.target_s)


_sets = Composed(lambda shows: ShowSet.objects.filter(show__pk__among=shows), Several(column(Show)))
_entries = Composed(
    lambda own: (
        SetEntry.objects.filter(set__pk__among=own)
        .select_related("song")
        .order_by("set", "position", "pk")
    ),
    Several(column(ShowSet)),
)
_songs = Composed(
    lambda productions: Song.objects.filter(
        production__pk__among=productions, retired_at=None
    ).order_by("production", "position", "title", "pk"),
    Several(column(Production)),
)
