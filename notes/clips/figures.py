"""The figures of a clip in plain words and units, for its page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.languages.marked import gettext_noop
from core.languages.words import number, told
from notes.clips.drawing import outline, spectrum
from notes.clips.survey import SILENT_DB
from notes.clips.times import format_time
from notes.listening.bands import NOMINAL, hertz_words
from notes.listening.beginning import Beginning
from notes.listening.peaks import is_offset
from notes.models import Clip, SignOff, StoredSound

NONE = gettext_lazy("too quiet to tell")
_BEGINNINGS: dict[str, str] = {
    Beginning.STATED: gettext_noop(
        "The silence that its encoder put before it is stated, and taken off."
    ),
    Beginning.UNKNOWN: gettext_noop(
        "Its encoder put some silence before it and does not say how much. How far apart it lies "
        "from another recording can only be measured if both are packed alike."
    ),
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
    over = _("over {seconds} s")
    for name, label, needs_s, means in (
        # The least length in seconds is that of the window that each needs.
        ("integrated", _("Loudness"), 0.4, _("of the whole clip, pauses left out")),
        ("momentary_max", _("Loudest moment"), 0.4, over.format(seconds=number(0.4))),
        ("short_term_max", _("Loudest stretch"), 3, over.format(seconds=3)),
    ):
        yield FigureRow(label, level(of, name, "LUFS", needs_s), means)
    if (of.get("seconds") or 0) < 60:
        means = _("between soft and loud parts; says little of less than a minute")
    else:
        means = _("between soft and loud parts")
    yield FigureRow(_("Loudness range"), level(of, "range", "LU", 3), means)


def _peaks(of: dict[str, Any]) -> Iterator[FigureRow]:
    yield FigureRow(_("True peak"), level(of, "true_peak", "dBTP"), _("between samples, too"))
    yield FigureRow(_("Sample peak"), level(of, "sample_peak", "dBFS"))
    yield FigureRow(_("Crest factor"), level(of, "crest", "dB"), _("peak above the average level"))
    runs = of.get("clipped_runs") or 0
    times = ngettext("once", "{n} times", runs).format(n=runs) if runs else _("never")
    yield FigureRow(_("At full scale"), times, _clipped(of) if runs else "")
    offset = offset_of(of)
    if offset is not None:
        yield FigureRow(
            _("DC offset"), offset, _("it clicks at the edges of a cut and takes headroom")
        )


def _clipped(of: dict[str, Any]) -> str:
    seconds = of.get("clipped_seconds")
    if seconds is None:
        return _("It may be distorted.")
    return _("{ms} ms in all. It may be distorted.").format(
        ms=number(float(f"{1000 * seconds:.3g}"))
    )


def offset_of(of: dict[str, Any]) -> str | None:
    """How far off centre it lies, where that is worth a remark."""
    offset = of.get("dc_offset")
    if offset is None or of.get("sample_peak") is None:
        return None
    if not is_offset(offset, 10 ** (of["sample_peak"] / 20), of["seconds"]):
        return None
    return _("{percent} % of full scale").format(percent=signed(100 * offset))


def _tone(of: dict[str, Any]) -> Iterator[FigureRow]:
    centre = of.get("centroid")
    yield FigureRow(
        _("Centre of the spectrum"), str(NONE) if centre is None else f"{centre:.0f} Hz"
    )
    for name, label, means in (
        ("low", _("Low part"), _("below 250 Hz, against the whole")),
        ("middle", _("Middle part"), _("250 Hz to {kilohertz} kHz").format(kilohertz=number(2.5))),
        ("high", _("High part"), _("above {kilohertz} kHz").format(kilohertz=number(2.5))),
    ):
        yield FigureRow(label, level(of, name, "dB"), means)
    if of.get("channels") == 2:
        yield FigureRow(_("Left and right"), *_alike(of.get("correlation")))


def _alike(value: float | None) -> tuple[str, str]:
    if value is None:
        return str(NONE), _("correlation")
    if value < -0.5:
        return signed(value, 2), _("correlation; opposed: is the polarity of one turned?")
    if value > 0.5:
        return signed(value, 2), _("correlation; alike")
    return signed(value, 2), _("correlation; largely unrelated")


def level(of: dict[str, Any], name: str, unit: str, needs_s: float = 0) -> str:
    """A figure with its unit, or why there is none; `needs_s` is the shortest that has one."""
    value = of.get(name)
    if value is not None:
        return f"{signed(value)} {unit}"
    if (of.get("seconds") or 0) < needs_s:
        return _("shorter than {seconds} s").format(seconds=number(needs_s))
    return str(NONE)


def signed(value: float, digits: int = 1) -> str:
    return number(value, digits)


def bands(clip: Clip) -> list[tuple[str, str]]:
    """Name and level of each third-octave band that has one."""
    return [
        (told(hertz_words(hz)), f"{signed(value)} dB")
        for hz, value in zip(NOMINAL, clip.figures.get("bands") or [], strict=False)
        if value is not None
    ]


def spectrum_of(clip: Clip) -> SafeString:
    levels = clip.figures.get("bands") or [None] * len(NOMINAL)
    return _safe(spectrum(levels, title=_("Spectrum of {clip}").format(clip=clip.name)))


def outline_of(clip: Clip) -> SafeString:
    points = clip.figures.get("outline") or [0]
    words = _("Outline of {clip}, {time} long").format(
        clip=clip.name, time=format_time(clip.seconds)
    )
    return _safe(outline(points, full=1000, words=words))


def remarks(sound: StoredSound) -> list[str]:
    """What is odd about a sound, and what is known of where it begins."""
    found = sound.found.get("remarks", [])
    beginning = _BEGINNINGS.get(sound.beginning)
    # What was found is kept in English; remarks with figures in them stay so.
    return [_(each) for each in (*found, *([beginning] if beginning else []))]


def times(sound: StoredSound) -> list[str]:
    """Times of the beginning, the quarters and the end of a sound, to write under its outline."""
    digits = 0 if sound.seconds >= 8 else 2
    return [format_time(round(sound.seconds * n / 4, digits)) for n in range(5)]


def why_choose(sound: StoredSound) -> str:
    """Why there is something to choose, for whoever expected a clip of the whole sound."""
    if all(
        each["peak_db"] is None or each["peak_db"] <= SILENT_DB for each in sound.found["channels"]
    ):
        return _(
            "It is silent: nothing in it is louder than −90 dBFS. Is it the right file? If silence "
            "is what you want to keep, say so at the end."
        )
    if sound.seconds > settings.CLIP_MAX_SECONDS:
        return _("A clip may last {most} s at most: choose from where to where.").format(
            most=settings.CLIP_MAX_SECONDS
        )
    if sound.channels > 2:
        return _("A clip has one channel or a pair: press one to choose it.")
    return ""


def channels(sound: StoredSound) -> list[ChannelView]:
    return [_channel(at, each) for at, each in enumerate(sound.found["channels"], start=1)]


def _channel(channel: int, of: dict[str, Any]) -> ChannelView:
    peak = of["peak_db"]
    silent = peak is None or peak <= SILENT_DB
    level_words = _("silent") if silent else _("peak {level} dBFS").format(level=signed(peak))
    words = _("Channel {n}, {level}").format(n=channel, level=level_words)
    return ChannelView(
        channel,
        level_words,
        _safe(outline(of["outline"], full=100, words=words)),
        silent,
        of["clipped"],
    )


def _safe(drawing: str) -> SafeString:
    # rigs.drawing.svg escapes every word and attribute it writes.
    return mark_safe(drawing)  # noqa: S308
