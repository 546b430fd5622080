"""What cannot be said of clips side by side: each thing once, with the clips that it holds for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import Said, both_said, gettext_noop, in_a_row, ngettext_lazy
from notes.listening.bands import NOMINAL, hertz_words
from notes.listening.compare import band_range
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


def _of_performance(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats: list[str] = []
    if short := [each for each in others if each.relation.best is None]:
        caveats.append(
            ngettext_lazy(
                "Too short to tell whether {clips} holds the same performance as {first}.",
                "Too short to tell whether {clips} hold the same performance as {first}.",
                len(short),
                clips=_names(short),
                first=first.letter,
            )
        )
    if loose := [each for each in others if each.relation.best and each.one is None]:
        caveats.append(
            ngettext_lazy(
                "{clips} may be the same performance as {first}, or another: it shares {shared} "
                "with it. Part of what differs may be the playing.",
                "{clips} may be the same performance as {first}, or others: they share {shared} "
                "with it. Part of what differs may be the playing.",
                len(loose),
                clips=_names(loose),
                first=first.letter,
                shared=_shared(loose),
            )
        )
    # A part of the same one that lies further apart than `relate` looks is other playing, too.
    if two := [each for each in others if each.one is False]:
        caveats.append(
            ngettext_lazy(
                "{clips} is another performance than {first}, or another part of it: it shares "
                "{shared} with it. What differs is the playing as well as the sound, and nothing "
                "here parts the two.",
                "{clips} are other performances than {first}, or other parts of it: they share "
                "{shared} with it. What differs is the playing as well as the sound, and nothing "
                "here parts the two.",
                len(two),
                clips=_names(two),
                first=first.letter,
                shared=_shared(two),
            )
        )
    return caveats


def _of_delay(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    """Why delays are not stated, in the same words as on the page of two captures."""
    groups = _groups(others, lambda each: each.relation.doubt)
    return [
        doubt.sentences((first.letter, *(each.letter for each in group)))
        for doubt, group in groups
        if doubt is not None
    ] + _once(
        [*(each.relation.remark for each in others), *(each.relation.caution for each in others)]
    )


def _once(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(each for each in words if each))


def _shared(group: Sequence[Against]) -> str:
    span = _span([each.shared * 100 for each in group], "{:.0f}".format)
    return Said(gettext_noop("{percent}%"), percent=span)


def _of_time(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    least = {each.letter: least_by_time(first, each.heard) for each in others}
    caveats = []
    for lowest, group in _groups(others, lambda each: _first(np.isfinite(least[each.letter]))):
        if lowest != 0:
            where = Said(gettext_noop("any band")) if lowest is None else _hz(lowest)
            too_short = Said(
                gettext_noop("{seconds} s are too short to read anything below {where}."),
                seconds=_seconds(first, group),
                where=where,
            )
            caveats.append(_of_these(first, group, others, too_short))
    loose = {letter: np.isfinite(each) & (each > LEAST_DB) for letter, each in least.items()}
    for at, group in _groups(others, lambda each: _first(loose[each.letter])):
        if at is not None:
            caveats.append(_of_chance(first, group, others, at, [least[e.letter] for e in group]))
    return caveats


# What counts as a difference: of all clips or of some, whether it is a decibel somewhere, and
# whether it depends on which one is shorter.
_CHANCE = {
    (True, False, False): gettext_noop(
        "In {seconds} s a difference counts from {db} dB at {where}; what is smaller may be chance."
    ),
    (True, True, False): gettext_noop(
        "In {seconds} s a difference counts from {db} dB at {where}, and from {least:g} dB at "
        "{certain} and above; what is smaller may be chance."
    ),
    (True, False, True): gettext_noop(
        "In {seconds} s a difference counts from {db} dB at {where}, by how long the shorter one "
        "is; what is smaller may be chance."
    ),
    (True, True, True): gettext_noop(
        "In {seconds} s a difference counts from {db} dB at {where}, and from {least:g} dB at "
        "{certain} and above, by how long the shorter one is; what is smaller may be chance."
    ),
    (False, False, False): gettext_noop(
        "{clips} against {first}: in {seconds} s a difference counts from {db} dB at {where}; what "
        "is smaller may be chance."
    ),
    (False, True, False): gettext_noop(
        "{clips} against {first}: in {seconds} s a difference counts from {db} dB at {where}, and "
        "from {least:g} dB at {certain} and above; what is smaller may be chance."
    ),
    (False, False, True): gettext_noop(
        "{clips} against {first}: in {seconds} s a difference counts from {db} dB at {where}, by "
        "how long the shorter one is; what is smaller may be chance."
    ),
    (False, True, True): gettext_noop(
        "{clips} against {first}: in {seconds} s a difference counts from {db} dB at {where}, and "
        "from {least:g} dB at {certain} and above, by how long the shorter one is; what is smaller "
        "may be chance."
    ),
}


def _of_chance(
    first: MeasuredClip,
    group: Sequence[Against],
    others: Sequence[Against],
    at: int,
    least: Sequence[NDArray[np.float64]],
) -> str:
    certain = [lowest for each in least if (lowest := _first(each <= LEAST_DB)) is not None]
    is_certain = len(certain) == len(least)
    by_length = len({each.tobytes() for each in least}) > 1
    return Said(
        _CHANCE[len(group) == len(others), is_certain, by_length],
        clips=_names(group),
        first=first.letter,
        seconds=_seconds(first, group),
        db=_tenths([float(each[at]) for each in least]),
        where=_hz(at),
        least=LEAST_DB,
        certain=_span(certain, _hz) if is_certain else "",
    )


def _of_noise(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats: list[str] = []
    hidden = [each for each in others if noisy(first, each.heard).any()]
    if hidden:
        groups = _groups(hidden, lambda each: spans(noisy(first, each.heard)))
        everywhere = len(groups) == 1 and len(hidden) == len(others)
        places = [
            text
            if everywhere
            else Said(gettext_noop("{bands} ({clips})"), bands=text, clips=_names(group))
            for text, group in groups
        ]
        caveats.append(
            Said(
                gettext_noop(
                    "Not read at {places}: there the sound stands less than 10 dB above the "
                    "quietest moment, so it may be the room."
                ),
                places=in_a_row(places, gettext_noop("{before}; {after}")),
            )
        )
    steady = [clip.letter for clip in _all(first, others) if clip.pause is None]
    if steady:
        caveats.append(
            ngettext_lazy(
                "{clips} has no pause to read the noise of the room from: how much of the quiet "
                "bands is room cannot be said.",
                "{clips} have no pause to read the noise of the room from: how much of the quiet "
                "bands is room cannot be said.",
                len(steady),
                clips=tuple(steady),
            )
        )
    return caveats


def _of_recording(first: MeasuredClip, others: Sequence[Against]) -> list[str]:
    caveats: list[str] = [
        Said(
            gettext_noop(
                "{first} was taken at {rate:g} kHz and {clips} at {other:g} kHz: above {highest:g} "
                "kHz nothing is compared."
            ),
            first=first.letter,
            rate=first.rate_hz / 1000,
            clips=_names(group),
            other=rate / 1000,
            highest=min(first.rate_hz, rate) / 2000,
        )
        for rate, group in _groups(others, lambda each: each.heard.rate_hz)
        if rate != first.rate_hz
    ]
    clips = _all(first, others)
    if len({clip.channels for clip in clips}) > 1:
        caveats.append(_of_channels(clips))
    clipped = [clip for clip in clips if clip.clipped]
    if clipped:
        places = tuple(
            ngettext_lazy("{clip} ({n} place)", "{clip} ({n} places)", one.clipped, clip=one.letter)
            for one in clipped
        )
        adds = gettext_noop("Clipped: {places}. Clipping adds high bands of its own.")
        caveats.append(Said(adds, places=places))
    caveats += [
        Said(
            gettext_noop(
                "{clip} lies off centre by {percent:.1f} % of full scale (DC offset): it clicks "
                "where it is cut, which adds to the lowest bands."
            ),
            clip=clip.letter,
            percent=100 * abs(clip.offset),
        )
        for clip in clips
        if clip.offset
    ]
    return caveats


def _of_channels(clips: Sequence[MeasuredClip]) -> str:
    stereo = tuple(clip.letter for clip in clips if clip.channels > 1)
    mono = tuple(clip.letter for clip in clips if clip.channels == 1)
    return both_said(
        ngettext_lazy(
            "{clips} is stereo and read as the mean of both channels;",
            "{clips} are stereo and read as the mean of both channels;",
            len(stereo),
            clips=stereo,
        ),
        ngettext_lazy("{clips} is mono.", "{clips} are mono.", len(mono), clips=mono),
    )


def spans(mask: NDArray[np.bool_]) -> str:
    """Runs of bands in words: “20–40 Hz, 16–20 kHz”."""
    marks = np.concatenate([[0], mask.astype(np.int8), [0]])
    turns = np.flatnonzero(np.diff(marks))
    runs = zip(turns[::2], turns[1::2], strict=True)
    return in_a_row([band_range(int(start), int(end) - 1) for start, end in runs])


def _groups(items: Iterable[_Each], key: Callable[[_Each], _Key]) -> list[tuple[_Key, list[_Each]]]:
    """The items grouped by key, in the order in which the keys come."""
    groups: dict[_Key, list[_Each]] = {}
    for each in items:
        groups.setdefault(key(each), []).append(each)
    return list(groups.items())


def _of_these(
    first: MeasuredClip, group: Sequence[Against], others: Sequence[Against], words: str
) -> str:
    """Which clips it is about; nothing where it is about all of them."""
    if len(group) == len(others):
        return words
    about = gettext_noop("{clips} against {first}: {words}")
    return Said(about, clips=_names(group), first=first.letter, words=words)


def _all(first: MeasuredClip, others: Sequence[Against]) -> list[MeasuredClip]:
    return [first, *(each.heard for each in others)]


def _names(group: Sequence[Against]) -> tuple[str, ...]:
    return tuple(each.letter for each in group)


def _seconds(first: MeasuredClip, group: Sequence[Against]) -> str:
    return _tenths([min(first.seconds, each.heard.seconds) for each in group])


def _tenths(values: Sequence[float]) -> str:
    tenth = gettext_noop("{value:.1f}")
    return _span(values, lambda value: Said(tenth, value=float(value)))


def _span(values: Sequence[float], words: Callable[[float], str]) -> str:
    """The least and the greatest of some numbers, written once where they read the same."""
    low, high = words(min(values)), words(max(values))
    return low if low == high else Said(gettext_noop("{low} to {high}"), low=low, high=high)


def _first(mask: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(mask)) if mask.any() else None


def _hz(index: float) -> str:
    return hertz_words(NOMINAL[int(index)])
