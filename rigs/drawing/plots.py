"""What a finding is about, as a curve: filter against the notes, comb, pickup with its cable."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import singledispatch

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from core.languages.words import apart, each_of, leading
from rigs.checks.figures import Figure, decibels, hertz
from rigs.checks.pictures import CombPicture, FilterPicture, PickupPicture, Picture
from rigs.drawing.axes import Axes, Curve, plot
from rigs.signal import combs, filters, pickups

_POINTS = 240
_SLOPES = (12, 18)
# At these frequencies the text alternative gives the level.
SHOWN_HZ = (50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0)


def draw(picture: Picture) -> str:
    """SVG text of a picture. Raises NotImplementedError for a kind that nobody draws."""
    return _draw(picture)


def _frequencies(low: float, count: int = _POINTS) -> list[float]:
    return [float(hz) for hz in np.geomspace(low, 20e3, count)]


@singledispatch
def _draw(picture: object) -> str:
    raise NotImplementedError(f"There is no drawing of {type(picture).__name__}.")


@_draw.register
def _filter(picture: FilterPicture) -> str:
    grid = _frequencies(20)
    axes = Axes(20, 20e3, -24, 6, curves=len(_SLOPES))
    curves = [
        Curve(_("{slope} dB/octave").format(slope=slope), grid, _through(picture, grid, slope))
        for slope in _SLOPES
    ]
    (low, low_hz), (high, high_hz) = picture.low_note, picture.high_note
    behind = [
        axes.band(low_hz, high_hz),
        axes.mark(low_hz, _("lowest {note}").format(note=low)),
        axes.mark(high_hz, _("highest {note}").format(note=high), row=1),
    ]
    corners = [(low, low_hz), (high, high_hz)]
    desc = apart(
        f"{name} ({hertz('', hz).shown}): "
        + each_of(
            _("{level} at {slope} dB/octave").format(
                level=_db(_through(picture, [hz], s)[0]), slope=s
            )
            for s in _SLOPES
        )
        for name, hz in corners
    )
    return plot(
        axes,
        curves,
        title=_("The filter against the range of notes"),
        desc=desc + ".",
        behind=behind,
    )


def _through(picture: FilterPicture, at: Sequence[float], slope: int) -> list[float]:
    frequencies = np.asarray(at, dtype=float)
    order, total = filters.order_from_slope(slope), np.zeros_like(frequencies)
    if picture.high_pass:
        total = total + filters.butterworth_db(frequencies, picture.high_pass, order)
    if picture.low_pass:
        total = total + filters.butterworth_db(frequencies, picture.low_pass, order, "lowpass")
    return [float(level) for level in total]


@_draw.register
def _comb(picture: CombPicture) -> str:
    grid = _with_turning_points(picture)
    levels = _comb_levels(picture, grid)
    notches = _teeth(combs.nulls, picture)[:3]
    words = _("both, polarity opposed") if picture.inverted else _("both together")
    notched = each_of(hertz("", float(notch)).shown for notch in notches) or _("none below 20 kHz")
    desc = _("Against the louder path alone. First notches: {notches}. {levels}").format(
        notches=notched, levels=_described(SHOWN_HZ, picture)
    )
    return plot(
        Axes(20, 20e3, -24, 6),
        [Curve(words, grid, levels)],
        title=_("Two paths {delay} apart, added").format(
            delay=Figure("", picture.delay * 1000, "ms").shown
        ),
        desc=desc,
        level_words=_("dB against the louder path alone"),
    )


def _with_turning_points(picture: CombPicture) -> list[float]:
    """Frequencies in Hz that include each notch and peak that can be seen apart.

    Without them notches of one depth would look uneven, as the grid meets them or not.
    """
    turns = _teeth(combs.nulls, picture)[:80] + _teeth(combs.peaks, picture)[:80]
    return sorted(_frequencies(20, 2 * _POINTS) + [hz for hz in turns if hz >= 20])


def _teeth(which: Callable[..., Iterable[float]], picture: CombPicture) -> list[float]:
    """Frequencies in Hz; none without a delay, when the paths add or cancel at all alike."""
    if not picture.delay:
        return []
    return [float(hz) for hz in which(picture.delay, inverted=picture.inverted)]


def _comb_levels(picture: CombPicture, at: Sequence[float]) -> list[float]:
    frequencies = np.asarray(at, dtype=float)
    levels = combs.response_db(
        frequencies, picture.delay, picture.level_difference, picture.inverted
    )
    return [float(level) for level in levels]


def _described(at: Sequence[float], picture: CombPicture) -> str:
    pairs = zip(at, _comb_levels(picture, at), strict=True)
    return apart(leading(hertz("", hz).shown, _db(level)) for hz, level in pairs) + "."


@_draw.register
def _pickup(picture: PickupPicture) -> str:
    grid = _frequencies(50)
    curves = [
        Curve(pgettext("of a pickup", "as it is"), grid, _over_the_low_end(picture.now, grid)),
        Curve(picture.reference_words, grid, _over_the_low_end(picture.reference, grid)),
    ]
    now = _over_the_low_end(picture.now, SHOWN_HZ)
    reference = _over_the_low_end(picture.reference, SHOWN_HZ)
    desc = apart(
        _("{frequency}: {now} as it is, {then} with {reference}").format(
            frequency=hertz("", hz).shown,
            now=_db(a),
            then=_db(b),
            reference=picture.reference_words,
        )
        for hz, a, b in zip(SHOWN_HZ, now, reference, strict=True)
    )
    return plot(
        Axes(50, 20e3, -18, 18, curves=2),
        curves,
        title=_("The pickup with its cable and input"),
        desc=desc + ".",
        level_words=_("dB against the low end"),
    )


def _over_the_low_end(circuit: pickups.PickupCircuit, at: Sequence[float]) -> list[float]:
    low = pickups.response_db(pickups.LOWEST_HZ, circuit)
    levels = pickups.response_db(np.asarray(at, dtype=float), circuit)
    return [float(level - low) for level in levels]


def _db(level: float) -> str:
    # Exactly in a notch of equal paths nothing is left.
    return pgettext("level", "nothing") if level == -np.inf else decibels("", level).shown
