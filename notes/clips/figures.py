"""The figures of a clip in plain words and units, for its page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.safestring import SafeString, mark_safe

from notes.clips.drawing import outline, spectrum
from notes.clips.survey import SILENT_DB
from notes.clips.times import format_time
from notes.listening.bands import NOMINAL, hertz_words
from notes.listening.beginning import Beginning
from notes.listening.peaks import is_offset
from notes.models import Clip, SignOff, StoredSound

NONE = "too quiet to tell"
_BEGINNINGS: dict[str, list[str]] = {
    Beginning.STATED: ["The silence that its encoder put before it is stated, and taken off."],
    Beginning.UNKNOWN: [
        "Its encoder put some silence before it and does not say how much. How far apart it lies "
        "from another recording can only be measured if both are packed alike."
    ],
}


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A name, what it is, and a sentence on what it tells."""

    label: str
    value: str
    means: str = ""


@dataclass(frozen=True, slots=True)
class ChannelView:
    number: int
    level: str
    drawing: SafeString
    silent: bool
    clipped: int


@dataclass(frozen=True, slots=True)
class SignedFigures:
    """What was measured of a clip by the time somebody signed it, by another method than now."""

    sign_off: SignOff
    method: str
    rows: list[FigureRow]


def rows(clip: Clip) -> list[FigureRow]:
    return rows_of(clip.figures)


def rows_of(figures: dict[str, Any]) -> list[FigureRow]:
    return [*_loudness(figures), *_peaks(figures), *_tone(figures)]


def signed_with_others(clip: Clip) -> list[SignedFigures]:
    """Signatures under figures that were measured another way since. One query."""
    signed = []
    for sign_off in clip.sign_offs.order_by("at"):
        then = next(
            (
                each
                for each in clip.earlier_figures
                # The first to be replaced after the signature were those that it was given under.
                if datetime.fromisoformat(each["until"]) > sign_off.at
            ),
            None,
        )
        if then:
            signed.append(SignedFigures(sign_off, then["method"], rows_of(then["figures"])))
    return signed


def _loudness(of: dict[str, Any]) -> Iterator[FigureRow]:
    for name, label, needs_s, means in (
        # The least length in seconds is that of the window that each needs.
        ("integrated", "Loudness", 0.4, "of the whole clip, pauses left out"),
        ("momentary_max", "Loudest moment", 0.4, "over 0.4 s"),
        ("short_term_max", "Loudest stretch", 3, "over 3 s"),
    ):
        yield FigureRow(label, level(of, name, "LUFS", needs_s), means)
    short = "; says little of less than a minute" if (of.get("seconds") or 0) < 60 else ""
    yield FigureRow(
        "Loudness range", level(of, "range", "LU", 3), f"between soft and loud parts{short}"
    )


def _peaks(of: dict[str, Any]) -> Iterator[FigureRow]:
    yield FigureRow("True peak", level(of, "true_peak", "dBTP"), "between samples, too")
    yield FigureRow("Sample peak", level(of, "sample_peak", "dBFS"))
    yield FigureRow("Crest factor", level(of, "crest", "dB"), "peak above the average level")
    runs = of.get("clipped_runs") or 0
    times = "once" if runs == 1 else f"{runs} times"
    yield FigureRow("At full scale", times if runs else "never", _clipped(of) if runs else "")
    offset = offset_of(of)
    if offset is not None:
        yield FigureRow("DC offset", offset, "it clicks at the edges of a cut and takes headroom")


def _clipped(of: dict[str, Any]) -> str:
    seconds = of.get("clipped_seconds")
    long = "" if seconds is None else f"{1000 * seconds:.3g} ms in all. "
    return f"{long}It may be distorted."


def offset_of(of: dict[str, Any]) -> str | None:
    """How far off centre it lies, where that is worth a remark."""
    offset = of.get("dc_offset")
    if offset is None or of.get("sample_peak") is None:
        return None
    if not is_offset(offset, 10 ** (of["sample_peak"] / 20), of["seconds"]):
        return None
    return f"{signed(100 * offset)} % of full scale"


def _tone(of: dict[str, Any]) -> Iterator[FigureRow]:
    centre = of.get("centroid")
    yield FigureRow("Centre of the spectrum", NONE if centre is None else f"{centre:.0f} Hz")
    for name, label, means in (
        ("low", "Low part", "below 250 Hz, against the whole"),
        ("middle", "Middle part", "250 Hz to 2.5 kHz"),
        ("high", "High part", "above 2.5 kHz"),
    ):
        yield FigureRow(label, level(of, name, "dB"), means)
    if of.get("channels") == 2:
        yield FigureRow("Left and right", *_alike(of.get("correlation")))


def _alike(value: float | None) -> tuple[str, str]:
    if value is None:
        return NONE, "correlation"
    if value < -0.5:
        return signed(value, 2), "correlation; opposed: is the polarity of one turned?"
    words = "alike" if value > 0.5 else "largely unrelated"
    return signed(value, 2), f"correlation; {words}"


def level(of: dict[str, Any], name: str, unit: str, needs_s: float = 0) -> str:
    """A figure with its unit, or why there is none; `needs_s` is the shortest that has one."""
    value = of.get(name)
    if value is not None:
        return f"{signed(value)} {unit}"
    return f"shorter than {needs_s:g} s" if (of.get("seconds") or 0) < needs_s else NONE


def signed(value: float, digits: int = 1) -> str:
    text = f"{round(value, digits) + 0.0:.{digits}f}"  # + 0.0: no minus before a zero
    return f"−{text[1:]}" if text.startswith("-") else text


def bands(clip: Clip) -> list[tuple[str, str]]:
    """Name and level of each third-octave band that has one."""
    return [
        (hertz_words(hz), f"{signed(value)} dB")
        for hz, value in zip(NOMINAL, clip.figures.get("bands") or [], strict=False)
        if value is not None
    ]


def spectrum_of(clip: Clip) -> SafeString:
    levels = clip.figures.get("bands") or [None] * len(NOMINAL)
    return _safe(spectrum(levels, title=f"Spectrum of {clip.name}"))


def outline_of(clip: Clip) -> SafeString:
    points = clip.figures.get("outline") or [0]
    words = f"Outline of {clip.name}, {format_time(clip.seconds)} long"
    return _safe(outline(points, full=1000, words=words))


def remarks(sound: StoredSound) -> list[str]:
    """What is odd about a sound, and what is known of where it begins."""
    return [*sound.found.get("remarks", []), *_BEGINNINGS.get(sound.beginning, [])]


def times(sound: StoredSound) -> list[str]:
    """Times of the beginning, the quarters and the end of a sound, to write under its outline."""
    digits = 0 if sound.seconds >= 8 else 2
    return [format_time(round(sound.seconds * n / 4, digits)) for n in range(5)]


def why_choose(sound: StoredSound) -> str:
    """Why there is something to choose, for whoever expected a clip of the whole sound."""
    if all(
        each["peak_db"] is None or each["peak_db"] <= SILENT_DB for each in sound.found["channels"]
    ):
        return (
            "It is silent: nothing in it is louder than −90 dBFS. Is it the right file? If silence "
            "is what you want to keep, say so at the end."
        )
    if sound.seconds > settings.CLIP_MAX_SECONDS:
        return f"A clip may last {settings.CLIP_MAX_SECONDS} s at most: choose from where to where."
    if sound.channels > 2:
        return "A clip has one channel or a pair: press one to choose it."
    return ""


def channels(sound: StoredSound) -> list[ChannelView]:
    return [_channel(number, each) for number, each in enumerate(sound.found["channels"], start=1)]


def _channel(number: int, of: dict[str, Any]) -> ChannelView:
    peak = of["peak_db"]
    silent = peak is None or peak <= SILENT_DB
    level_words = "silent" if silent else f"peak {signed(peak)} dBFS"
    words = f"Channel {number}, {level_words}"
    return ChannelView(
        number,
        level_words,
        _safe(outline(of["outline"], full=100, words=words)),
        silent,
        of["clipped"],
    )


def _safe(drawing: str) -> SafeString:
    # rigs.drawing.svg escapes every word and attribute it writes.
    return mark_safe(drawing)  # noqa: S308
