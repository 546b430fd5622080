"""What must happen on a rig between two songs, and whether the gap is long enough. Pure.

The crew says how long changing an instrument takes and how long retuning one string takes. An
instrument that is not played meanwhile is retuned off stage, in the time it has been out of hands
since it was last played; one that has not been played yet in the set is ready before the show.
What nobody has stated (a gap, a length, a tuning) is said to be not known and never guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.figures import listed, quoted
from rigs.gear import gear_of
from rigs.signal.ranges import stated_tuning

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class PlayedInstrument(NamedTuple):
    """A unit that a player holds: its kind, and its usual tuning as it is written."""

    id: str
    name: str
    gear: str
    tuning: str = ""


class ChangeSeconds(NamedTuple):
    """The times in seconds to change the instrument and to retune one string."""

    change: int
    string: int


@dataclass(frozen=True, slots=True)
class Piece:
    """A song as a rig plays it; times in s, None where not known.

    `instrument` is the id of the unit that is played, empty for the usual one.
    """

    id: str
    title: str
    length: int | None = None
    gap: int | None = None
    instrument: str = ""
    tunings: Mapping[str, str] = field(default_factory=dict)  # by instrument, where a song says so
    # The scene in which each unit that recalls some begins and ends the song, by names.
    begins: Mapping[str, str] = field(default_factory=dict)
    ends: Mapping[str, str] = field(default_factory=dict)


ASSUMED = ChangeSeconds(change=30, string=15)  # common practice, no source


class Fit(StrEnum):
    """Whether there is time for something."""

    FITS = "fits"
    SHORT = "short"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to do between two songs; times in s, None where not known.

    `off_stage` is True for what is done while something else is played; `available` is then all the
    time since the instrument was last played.
    """

    words: str
    seconds: int | None
    available: int | None
    strings: int | None = None  # that are retuned; None for a change alone
    off_stage: bool = False
    missing: StrOrPromise = ""  # what is not known: “the gap”, “the tuning of …”; lazy
    units: tuple[str, ...] = ()  # ids of the instruments concerned, the one to be played first
    is_press: bool = False  # a scene that is recalled, which takes no time worth counting
    too_long: str = ""  # the same as a sentence that it takes longer than there is time

    @property
    def fit(self) -> Fit:
        if self.seconds is None or self.available is None:
            return Fit.UNKNOWN
        return Fit.SHORT if self.seconds > self.available else Fit.FITS

    @property
    def lacking(self) -> int:
        """The seconds that are too few; 0 where it fits or is not known."""
        if self.seconds is None or self.available is None:
            return 0
        return max(0, self.seconds - self.available)


@dataclass(frozen=True, slots=True)
class Move:
    """The way from one song to the next.

    `spare` names an instrument that stands in the wanted tuning already: changing to it takes
    `spare_seconds` in place of the retune.
    """

    before: Piece
    after: Piece
    needs: tuple[Need, ...] = ()
    spare: str = ""
    spare_seconds: int = 0

    @property
    def fit(self) -> Fit:
        fits = {need.fit for need in self.needs}
        for worst in (Fit.SHORT, Fit.UNKNOWN):
            if worst in fits:
                return worst
        return Fit.FITS

    @property
    def spare_fits(self) -> bool:
        return bool(self.spare) and (self.before.gap or 0) >= self.spare_seconds


def usual_of(instruments: Iterable[PlayedInstrument]) -> PlayedInstrument | None:
    """The instrument that is played where a song does not say: the first one held in hands."""
    return next((each for each in instruments if gear_of(each.gear).held), None)


def moves(
    pieces: Sequence[Piece], instruments: Sequence[PlayedInstrument], times: ChangeSeconds
) -> tuple[Move, ...]:
    """The change from each song of the set to the next, in order: one less than there are songs."""
    walk = _Walk({each.id: each for each in instruments}, times, usual_of(instruments))
    result = []
    for at, after in enumerate(pieces):
        if at:
            move = walk.move(pieces, at - 1, after)
            result.append(replace(move, needs=(*presses(pieces[at - 1], after), *move.needs)))
        walk.apply(at, after)
    return tuple(result)


def presses(before: Piece, after: Piece) -> Iterator[Need]:
    """The scenes that are recalled, or left, between two songs."""
    for unit in sorted({*before.ends, *after.begins}):
        was, to = before.ends.get(unit), after.begins.get(unit)
        if to and to != was:
            words = _("Press “{scene}” on “{unit}”").format(scene=to, unit=unit)
            yield Need(words, 0, 0, is_press=True)
        elif was and not to:
            words = _("Leave “{scene}” on “{unit}”: no scene is named").format(scene=was, unit=unit)
            yield Need(words, 0, 0, is_press=True)


@dataclass(slots=True)
class _Walk:
    """The set walked through once: the tuning of each instrument by now, and its last song."""

    known: Mapping[str, PlayedInstrument]
    times: ChangeSeconds
    usual: PlayedInstrument | None
    current: dict[str, str] = field(default_factory=dict)
    played: dict[str, int] = field(default_factory=dict)

    def hold(self, piece: Piece) -> PlayedInstrument | None:
        # A song may name an instrument that has been retired since.
        return self.known.get(piece.instrument) or self.usual

    def needed_tuning(self, piece: Piece, held: PlayedInstrument) -> str:
        return piece.tunings.get(held.id, held.tuning)

    def tuned(self, held: PlayedInstrument) -> str:
        return self.current.get(held.id, held.tuning)

    def apply(self, at: int, piece: Piece) -> None:
        held = self.hold(piece)
        if held is not None:
            self.current[held.id], self.played[held.id] = self.needed_tuning(piece, held), at

    def move(self, pieces: Sequence[Piece], at: int, after: Piece) -> Move:
        before = pieces[at]
        was, now = self.hold(before), self.hold(after)
        if was is None or now is None:
            return Move(before, after)
        if was.id == now.id:
            return self._retuned(before, after, now)
        needs = [self._change(before, was, now)]
        off_stage = self._off_stage(pieces, at, after, now)
        return Move(before, after, (*needs, *off_stage))

    def _change(self, before: Piece, was: PlayedInstrument, now: PlayedInstrument) -> Need:
        names = {"before": was.name, "after": now.name}
        return Need(
            _("Change from “{before}” to “{after}”").format(**names),
            self.times.change,
            before.gap,
            missing="" if before.gap is not None else _gap_of(before),
            units=(now.id, was.id),
            too_long=_(
                "change from “{before}” to “{after}” takes longer than there is time"
            ).format(**names),
        )

    def _retuned(self, before: Piece, after: Piece, held: PlayedInstrument) -> Move:
        here, there = self.tuned(held), self.needed_tuning(after, held)
        # None (not known) goes on below and becomes a need whose time is not known.
        count = strings_between(here, there)
        if count == 0:
            return Move(before, after)
        need = self._need(
            held, there, count, before.gap, [] if before.gap is not None else [before]
        )
        spare = next((s for s in self.known.values() if self._can_replace(s, held, there)), None)
        if spare is None:
            return Move(before, after, (need,))
        return Move(before, after, (need,), spare.name, self.times.change)

    def _can_replace(self, spare: PlayedInstrument, held: PlayedInstrument, tuning: str) -> bool:
        """Whether `spare` is of the same kind and in that tuning by now, which must be stated."""
        return (
            spare.id != held.id
            and spare.gear == held.gear
            and strings_between(self.tuned(spare), tuning) == 0
            and bool(tuning.strip())
        )

    def _off_stage(
        self, pieces: Sequence[Piece], at: int, after: Piece, held: PlayedInstrument
    ) -> list[Need]:
        """A retune of what was out of hands for a while: only if it has been played before."""
        last, there = self.played.get(held.id), self.needed_tuning(after, held)
        count = strings_between(self.tuned(held), there)
        if last is None or count == 0:
            return []
        # Out of hands since its last song: the songs played since, and every gap from that song on.
        between = pieces[last + 1 : at + 1]
        passed = [each.length for each in between] + [each.gap for each in pieces[last : at + 1]]
        known = [seconds for seconds in passed if seconds is not None]
        free = sum(known) if len(known) == len(passed) else None
        unknown = [each for each in between if each.length is None or each.gap is None]
        if pieces[last].gap is None:
            unknown.insert(0, pieces[last])
        return [self._need(held, there, count, free, unknown, off_stage=True)]

    def _need(
        self,
        held: PlayedInstrument,
        tuning: str,
        count: int | None,
        available: int | None,
        unknown: Sequence[Piece],
        *,
        off_stage: bool = False,
    ) -> Need:
        seconds = None if count is None else count * self.times.string
        if seconds is not None and off_stage:
            seconds += self.times.change  # it has to be handed over, too
        missing: StrOrPromise = ""
        if count is None:
            missing = format_lazy(gettext_lazy("the tuning of “{unit}” in notes"), unit=held.name)
        if not missing and unknown:
            missing = _times_of(unknown) if off_stage else _gap_of(unknown[0])
        words, too_long = _retuning(off_stage, bool(tuning.strip()))
        named = {"unit": held.name, "tuning": tuning.strip()}
        return Need(
            words.format(**named),
            seconds,
            available,
            count,
            off_stage,
            missing,
            (held.id,),
            too_long=too_long.format(**named),
        )


def _retuning(off_stage: bool, stated: bool) -> tuple[str, str]:
    """To retune in words, and as a sentence that there is too little time for it."""
    if off_stage and stated:
        return (
            _("Retune off stage “{unit}” to {tuning}"),
            _("retune off stage “{unit}” to {tuning} takes longer than there is time"),
        )
    if off_stage:
        return (
            _("Retune off stage “{unit}” to its usual tuning"),
            _("retune off stage “{unit}” to its usual tuning takes longer than there is time"),
        )
    if stated:
        return (
            _("Retune “{unit}” to {tuning}"),
            _("retune “{unit}” to {tuning} takes longer than there is time"),
        )
    return (
        _("Retune “{unit}” to its usual tuning"),
        _("retune “{unit}” to its usual tuning takes longer than there is time"),
    )


def _gap_of(piece: Piece) -> StrOrPromise:
    return format_lazy(gettext_lazy("the gap after “{song}”"), song=piece.title)


def _times_of(pieces: Sequence[Piece]) -> StrOrPromise:
    songs = listed([quoted(piece.title) for piece in pieces])
    return format_lazy(gettext_lazy("length or gap of {songs}"), songs=songs)


def strings_between(one: str, other: str) -> int | None:
    """How many strings differ, by their notes; None where that cannot be told.

    D#2 is Eb2. Two tunings that are spelled alike are alike, whether or not they read as notes.
    """
    if " ".join(one.casefold().split()) == " ".join(other.casefold().split()):
        return 0
    try:
        here, there = stated_tuning(one), stated_tuning(other)
    except ValueError:
        return None
    if len(here) != len(there):
        return None
    return sum(a != b for a, b in zip(here, there, strict=True))
