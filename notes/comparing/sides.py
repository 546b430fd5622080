"""Two to six clips of one input side by side: gains, positions, differences, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, log10

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from numpy.typing import NDArray

from core.languages.words import all_of, number, told
from core.stored_files import StoredFileUnreadable
from notes.clips.documented import with_records
from notes.comparing.measure import COLUMNS_PER_S, LONGEST_S, Ears
from notes.listening.caveats import Against, caveats_of
from notes.listening.compare import matching_gains
from notes.listening.relation import Relation
from notes.listening.side_by_side import BandDifferences, MeasuredClip, read
from notes.models import Clip

FEWEST, MOST = 2, 6
LETTERS = "ABCDEF"
SHORTEST_S = 0.1  # of a section, as of a loop
MOST_DESCRIBED, MOST_OF_MANY = 5, 3  # differences of a clip in words; the table has all


def no_section() -> str:
    """Why a section cannot be."""
    return _(
        "A part is at least {least} s long, ends after it begins, and lies in what all have."
    ).format(least=number(SHORTEST_S))


class CannotCompare(ValueError):
    """These clips cannot be heard side by side; the message says why, in words for the page."""


@dataclass(frozen=True, slots=True)
class Side:
    """One clip. `lead_s` is where in it the common time begins; `reading` compares it with the
    first, and is None for the first itself; `columns` are its outline over the common time."""

    clip: Clip
    heard: MeasuredClip
    lead_s: float
    columns: NDArray[np.float64]
    relation: Relation | None = None
    reading: BandDifferences | None = None
    most_described: int = MOST_DESCRIBED

    @property
    def letter(self) -> str:
        return self.heard.letter

    @property
    def gain_db(self) -> float:
        return self.heard.gain_db

    @property
    def gain_words(self) -> str:
        return gain_in_words(self.gain_db)

    @property
    def described(self) -> list[str]:
        words = self.reading.words[: self.most_described] if self.reading else []
        return [told(each) for each in words]

    @property
    def untold(self) -> int:
        return max(0, len(self.reading.words) - self.most_described) if self.reading else 0

    @property
    def is_aligned(self) -> bool:
        return bool(self.relation and self.relation.one_performance)

    @property
    def when_words(self) -> str:
        """How it lies in time against the first; empty for that and for two performances."""
        if self.relation is None or self.relation.one_performance is False:
            return ""
        delay_s, polarity = self.relation.delay_s, self.relation.polarity
        if delay_s is None or polarity is None:  # why not is said of all clips at once, below
            alone = _("One performance. They are played in step.")
            return alone if self.is_aligned else ""
        when = _when(delay_s * 1000, turned=polarity < 0)
        if not self.is_aligned:
            return _("If it is one performance: {when}.").format(when=when)
        return _("One performance: {when}. They are played in step.").format(when=when)


@dataclass(frozen=True, slots=True)
class SideBySide:
    """`seconds` is the time that all clips have in common, as they are played; gains, levels and
    differences are those of the `section` of it, from and to in seconds."""

    sides: list[Side]
    seconds: float
    section: tuple[float, float]
    cut_short: bool = False

    @property
    def is_part(self) -> bool:
        return self.section != (0.0, self.seconds)

    @property
    def first(self) -> Side:
        return self.sides[0]

    @property
    def others(self) -> list[Side]:
        return self.sides[1:]

    @property
    def alike_words(self) -> str:
        """Which clips differ from the first in nothing that counts; empty where all do."""
        alike = [side.letter for side in self.others if not side.described]
        if not alike:
            return ""
        if len(self.others) == 1:
            return _("No difference that counts in any band.")
        return _("{clips} against A: no difference that counts in any band.").format(
            clips=all_of(alike)
        )

    @property
    def unaligned_words(self) -> str:
        """Which clips are not in step with the first; empty where all are."""
        letters = [side.letter for side in self.others if not side.is_aligned]
        if not letters:
            return ""
        return ngettext(
            "{clips} is not aligned with A: each is heard from its own beginning.",
            "{clips} are not aligned with A: each is heard from its own beginning.",
            len(letters),
        ).format(clips=all_of(letters))

    @property
    def caveats(self) -> list[str]:
        """What cannot be measured of them, each thing once."""
        others = [Against(side.heard, side.relation) for side in self.others if side.relation]
        return [told(each) for each in caveats_of(self.first.heard, others)]


@dataclass(frozen=True, slots=True)
class _InStep:
    """Clips as they are played: how they are related, where in each the common time begins (s), and
    how long that lasts (s)."""

    clips: Sequence[Clip]
    ears: Ears
    relations: list[Relation | None]
    leads: list[float]
    seconds: float

    def whole_or(self, section: tuple[float, float] | None) -> tuple[float, float]:
        """The section within the common time. Raises CannotCompare for what is none."""
        if section is None:
            return 0.0, self.seconds
        start, end = max(0.0, section[0]), min(section[1], self.seconds)
        # Asked this way round, so that an end that is no number (“nan”) is refused, too.
        if not end - start >= SHORTEST_S:
            raise CannotCompare(no_section())
        return start, end

    def heard(self, section: tuple[float, float]) -> list[MeasuredClip]:
        """What is measured of each clip over the section, with gains for equal loudness there.

        Raises CannotCompare for silence.
        """
        start, end = section
        measured = [
            self.ears.section(clip, lead + start, end - start)
            for clip, lead in zip(self.clips, self.leads, strict=True)
        ]
        for clip, one in zip(self.clips, measured, strict=True):
            if not isfinite(one.played.loudness):
                raise CannotCompare(
                    _(
                        "“{clip}” is silent from {start} to {end} s, so nothing can be matched to "
                        "it there."
                    ).format(clip=clip, start=number(start, 2), end=number(end, 2))
                )
        gains = matching_gains(
            [
                one.played.loudness + _both_sides(clip)
                for clip, one in zip(self.clips, measured, strict=True)
            ],
            [one.played.true_peak for one in measured],
        )
        return [
            MeasuredClip(
                letter=LETTERS[at],
                seconds=end - start,
                rate_hz=float(clip.figures["rate_hz"]),
                channels=int(clip.figures["channels"]),
                gain_db=gain,
                bands=one.bands,
                pause=self.ears.outline(clip).pause,
                clipped=one.clipped,
                offset=one.offset,
            )
            for at, (clip, one, gain) in enumerate(zip(self.clips, measured, gains, strict=True))
        ]


def side_by_side(clips: Sequence[Clip], section: tuple[float, float] | None = None) -> SideBySide:
    """Compare clips over the time that they have in common, or over a section of it.

    `section` is from and to in seconds of the common time. Raises CannotCompare.
    """
    try:
        return _side_by_side(_in_step(clips), section)
    except StoredFileUnreadable as error:
        raise CannotCompare(str(error)) from None


def gains(clips: Sequence[Clip], section: tuple[float, float]) -> list[float]:
    """The gain of each clip in dB, so that all are equally loud over a section of the common time.

    Raises CannotCompare.
    """
    try:
        in_step = _in_step(clips)
        return [one.gain_db for one in in_step.heard(in_step.whole_or(section))]
    except StoredFileUnreadable as error:
        raise CannotCompare(str(error)) from None


def _in_step(clips: Sequence[Clip]) -> _InStep:
    _check(clips)
    ears = Ears()
    relations = [None, *(ears.relation(clips[0], clip) for clip in clips[1:])]
    leads = _leads(relations)
    lasts = (float(clip.figures["seconds"]) - lead for clip, lead in zip(clips, leads, strict=True))
    # What the page plays is also what is measured, so a long clip is cut for both alike.
    return _InStep(clips, ears, relations, leads, min(*lasts, LONGEST_S))


def _side_by_side(in_step: _InStep, section: tuple[float, float] | None) -> SideBySide:
    part = in_step.whole_or(section)
    heard = in_step.heard(part)
    # Only for what is stated: where each is played from follows from the sound alone.
    relations = with_records(in_step.relations, in_step.clips)
    sides = [
        Side(
            clip,
            one,
            lead,
            _of_common_time(in_step.ears.outline(clip).columns, lead, in_step.seconds),
            relation,
            read(heard[0], one) if at else None,
            MOST_DESCRIBED if len(heard) == FEWEST else MOST_OF_MANY,
        )
        for at, (clip, one, lead, relation) in enumerate(
            zip(in_step.clips, heard, in_step.leads, relations, strict=True)
        )
    ]
    longest = max(float(clip.figures["seconds"]) for clip in in_step.clips)
    # Up to half a second left out is not worth a remark.
    return SideBySide(sides, in_step.seconds, part, cut_short=longest > in_step.seconds + 0.5)


def _check(clips: Sequence[Clip]) -> None:
    if not FEWEST <= len(clips) <= MOST:
        raise CannotCompare(
            _("Choose {fewest} to {most} clips of one input.").format(fewest=FEWEST, most=MOST)
        )
    if len({clip.input_id for clip in clips}) > 1:
        raise CannotCompare(_("These are clips of different inputs. Compare those of one input."))
    for clip in clips:
        if clip.figures.get("integrated") is None or clip.figures.get("true_peak") is None:
            raise CannotCompare(
                _(
                    "“{clip}” is silent, or shorter than {least} s: it has no loudness, so nothing "
                    "can be matched to it."
                ).format(clip=clip, least=number(0.4))
            )


def _both_sides(clip: Clip) -> float:
    """How many dB more BS.1770 reads of a mono clip as it is played: left and right alike."""
    return 10 * log10(2) if int(clip.figures["channels"]) == 1 else 0.0


def _leads(relations: Sequence[Relation | None]) -> list[float]:
    """Seconds into each clip at which the moment lies that all those of one performance share."""
    delays = [each.in_step_s if each else 0.0 for each in relations]
    together = [not at or bool(each and each.one_performance) for at, each in enumerate(relations)]
    # Counted from the least of them, so that no clip would have to start before its beginning.
    earliest = min(delay for delay, one in zip(delays, together, strict=True) if one)
    return [d - earliest if one else 0.0 for d, one in zip(delays, together, strict=True)]


def _of_common_time(
    columns: NDArray[np.float64], lead_s: float, seconds: float
) -> NDArray[np.float64]:
    start = round(lead_s * COLUMNS_PER_S)
    return columns[start : start + max(1, round(seconds * COLUMNS_PER_S))]


def gain_in_words(gain_db: float) -> str:
    """“played 3.2 dB quieter”; what cannot be heard is said to be played as it is."""
    # Below this it would read “0.0 dB”.
    if abs(gain_db) < 0.05:
        return _("played as it is")
    if gain_db > 0:
        return _("played {db} dB louder").format(db=number(gain_db, 1))
    return _("played {db} dB quieter").format(db=number(-gain_db, 1))


def _when(delay_ms: float, *, turned: bool) -> str:
    """When it comes against A, and whether it is turned over: “0.58 ms later than A”."""
    # About one sample at 48 kHz (0.021 ms).
    if abs(delay_ms) < 0.02:
        said = (
            _("both arrive together, with its polarity the other way round")
            if turned
            else _("both arrive together")
        )
    elif delay_ms > 0:
        said = (
            _("{ms} ms later than A, with its polarity the other way round")
            if turned
            else _("{ms} ms later than A")
        )
    else:
        said = (
            _("{ms} ms earlier than A, with its polarity the other way round")
            if turned
            else _("{ms} ms earlier than A")
        )
    return said.format(ms=number(abs(delay_ms), 2))
