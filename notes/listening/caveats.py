"""What cannot be said of clips side by side: each thing once, with the clips that it holds for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from notes.listening.bands import NOMINAL, hertz_words
from notes.listening.compare import in_words
from notes.listening.relation import Relation
from notes.listening.side_by_side import LEAST_DB, MeasuredClip, least_by_time, noisy

_Each = TypeVar("_Each")
_Key = TypeVar("_Key", bound=Hashable)


class Against(NamedTuple):
    """A clip that is compared with the first."""

    heard: MeasuredClip
    relation: Relation

    @property
    def letter(self) -> str:
        return self.heard.letter

    @property
    def one(self) -> bool | None:
        return self.relation.one_performance

    @property
    def shared(self) -> float:
        return self.relation.shared


def caveats_of(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    """Sentences about the first clip and those that are read against it."""
    if not others:
        return []
    return [
        *_of_performance(first, others),
        *_of_delay(first, others),
        *_of_time(first, others),
        *_of_noise(first, others),
        *_of_recording(first, others),
    ]


def names(letters: Sequence[str]) -> str:
    """“B”, “B and C”, “B, C and D”."""
    return " and ".join(filter(None, [", ".join(letters[:-1]), letters[-1]]))


def _of_performance(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats = []
    short = [each for each in others if each.relation.best is None]
    if short:
        hold = "holds" if len(short) == 1 else "hold"
        caveats.append(
            f"Too short to tell whether {_names(short)} {hold} the same performance as "
            f"{first.letter}."
        )
    loose = [each for each in others if each.relation.best and each.one is None]
    if loose:
        what, shares = ("another", "it shares") if len(loose) == 1 else ("others", "they share")
        caveats.append(
            f"{_names(loose)} may be the same performance as {first.letter}, or {what}: {shares} "
            f"{_shared(loose)} with it. Part of what differs may be the playing."
        )
    two = [each for each in others if each.one is False]
    if two:
        # A part of the same one that lies further apart than `relate` looks is other playing, too.
        what, part, shares = (
            ("is another performance", "another part", "it shares")
            if len(two) == 1
            else ("are other performances", "other parts", "they share")
        )
        caveats.append(
            f"{_names(two)} {what} than {first.letter}, or {part} of it: {shares} {_shared(two)} "
            "with it. What differs is the playing as well as the sound, and nothing here parts "
            "the two."
        )
    return caveats


def _of_delay(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    """Why delays are not stated, in the same words as on the page of two captures."""
    groups = _groups(others, lambda each: each.relation.doubt)
    return [
        doubt.sentences(names([first.letter, *(each.letter for each in group)]))
        for doubt, group in groups
        if doubt is not None
    ] + list(dict.fromkeys(each.relation.remark for each in others if each.relation.remark))


def _shared(group: Sequence[Against]) -> str:
    return f"{_span([each.shared * 100 for each in group], '{:.0f}'.format)}%"


def _of_time(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    least = {each.letter: least_by_time(first, each.heard) for each in others}
    caveats = []
    for lowest, group in _groups(others, lambda each: _first(np.isfinite(least[each.letter]))):
        if lowest != 0:
            where = "any band" if lowest is None else _hz(lowest)
            seconds = _seconds(first, group)
            caveats.append(
                f"{_whose(first, group, others)}{seconds} s are too short to read anything below "
                f"{where}."
            )
    loose = {letter: np.isfinite(each) & (each > LEAST_DB) for letter, each in least.items()}
    for at, group in _groups(others, lambda each: _first(loose[each.letter])):
        if at is not None:
            caveats.append(_of_chance(first, group, others, at, [least[e.letter] for e in group]))
    return caveats


def _of_chance(
    first: MeasuredClip,
    group: Sequence[Against],
    others: Sequence[Against],
    at: int,
    least: Sequence[NDArray[np.float64]],
) -> str:
    whose = _whose(first, group, others)
    from_db = _span([float(each[at]) for each in least], "{:.1f}".format)
    words = (
        f"{whose}{'in' if whose else 'In'} {_seconds(first, group)} s a difference counts from "
        f"{from_db} dB at {_hz(at)}"
    )
    certain = [lowest for each in least if (lowest := _first(each <= LEAST_DB)) is not None]
    if len(certain) == len(least):
        words += f", and from {LEAST_DB:g} dB at {_span(certain, _hz)} and above"
    if len({each.tobytes() for each in least}) > 1:
        words += ", by how long the shorter one is"
    return f"{words}; what is smaller may be chance."


def _of_noise(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats = []
    hidden = [each for each in others if noisy(first, each.heard).any()]
    if hidden:
        groups = _groups(hidden, lambda each: spans(noisy(first, each.heard)))
        everywhere = len(groups) == 1 and len(hidden) == len(others)
        where = "; ".join(
            text if everywhere else f"{text} ({_names(group)})" for text, group in groups
        )
        caveats.append(
            f"Not read at {where}: there the sound stands less than 10 dB above the quietest "
            "moment, so it may be the room."
        )
    steady = [clip.letter for clip in _all(first, others) if clip.pause is None]
    if steady:
        caveats.append(
            f"{names(steady)} {'has' if len(steady) == 1 else 'have'} no pause to read the "
            "noise of the room from: how much of the quiet bands is room cannot be said."
        )
    return caveats


def _of_recording(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats = []
    for rate, group in _groups(others, lambda each: each.heard.rate_hz):
        if rate != first.rate_hz:
            caveats.append(
                f"{first.letter} was taken at {first.rate_hz / 1000:g} kHz and {_names(group)} at "
                f"{rate / 1000:g} kHz: above {min(first.rate_hz, rate) / 2000:g} kHz nothing is "
                "compared."
            )
    clips = _all(first, others)
    if len({clip.channels for clip in clips}) > 1:
        stereo = [clip.letter for clip in clips if clip.channels > 1]
        mono = [clip.letter for clip in clips if clip.channels == 1]
        caveats.append(
            f"{names(stereo)} {_are(stereo)} stereo and read as the mean of both channels; "
            f"{names(mono)} {_are(mono)} mono."
        )
    clipped = [clip for clip in clips if clip.clipped]
    if clipped:
        places = [
            f"{one.letter} ({one.clipped} place{'s' if one.clipped != 1 else ''})"
            for one in clipped
        ]
        caveats.append(f"Clipped: {names(places)}. Clipping adds high bands of its own.")
    caveats += [
        f"{clip.letter} lies off centre by {100 * abs(clip.offset):.1f} % of full scale (DC "
        "offset): it clicks where it is cut, which adds to the lowest bands."
        for clip in clips
        if clip.offset
    ]
    return caveats


def spans(mask: NDArray[np.bool_]) -> str:
    """Runs of bands in words: “20–40 Hz, 16–20 kHz”."""
    marks = np.where(mask, 1.0, np.nan)
    # All runs are equally large, and sorting keeps the order of equals.
    return ", ".join(text.split(" at ", 1)[1] for text in in_words(marks, 0.5))


def _groups(items: Iterable[_Each], key: Callable[[_Each], _Key]) -> list[tuple[_Key, list[_Each]]]:
    """The items grouped by key, in the order in which the keys come."""
    groups: dict[_Key, list[_Each]] = {}
    for each in items:
        groups.setdefault(key(each), []).append(each)
    return list(groups.items())


def _whose(first: MeasuredClip, group: Sequence[Against], others: Sequence[Against]) -> str:
    """Which clips it is about; nothing where it is about all of them."""
    return "" if len(group) == len(others) else f"{_names(group)} against {first.letter}: "


def _all(first: MeasuredClip, others: Sequence[Against]) -> list[MeasuredClip]:
    return [first, *(each.heard for each in others)]


def _names(group: Sequence[Against]) -> str:
    return names([each.letter for each in group])


def _are(letters: Sequence[str]) -> str:
    return "is" if len(letters) == 1 else "are"


def _seconds(first: MeasuredClip, group: Sequence[Against]) -> str:
    return _span([min(first.seconds, each.heard.seconds) for each in group], "{:.1f}".format)


def _span(values: Sequence[float], words: Callable[[float], str]) -> str:
    """The least and the greatest of some numbers, written once where they read the same."""
    low, high = words(min(values)), words(max(values))
    return low if low == high else f"{low} to {high}"


def _first(mask: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(mask)) if mask.any() else None


def _hz(index: float) -> str:
    return hertz_words(NOMINAL[int(index)])
