"""Two clips side by side: how much gain matches them, and what differs, in plain words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.listening.bands import FREQUENCIES, NOMINAL, Bands, hertz_words

# The most that EBU R 128 permits for true peaks (from memory).
HEADROOM_DBTP = -1.0
_MORE, _LESS = (
    gettext_noop("{db:.1f} dB more at {where}"),
    gettext_noop("{db:.1f} dB less at {where}"),
)
_MORE_UNHEARD, _LESS_UNHEARD = (
    gettext_noop("{db:.1f} dB more at {where}, where hardly anything is heard"),
    gettext_noop("{db:.1f} dB less at {where}, where hardly anything is heard"),
)
# What `in_words` says, and the ranges that it names.
SENTENCES = (_MORE, _LESS, _MORE_UNHEARD, _LESS_UNHEARD)
_IN_HZ, _INTO_KHZ, _IN_KHZ = (
    gettext_noop("{low:g}–{high:g} Hz"),
    gettext_noop("{low:g} Hz–{high:g} kHz"),
    gettext_noop("{low:g}–{high:g} kHz"),
)
RANGES = (_IN_HZ, _INTO_KHZ, _IN_KHZ, *FREQUENCIES)


def matching_gains(
    loudness: list[float], true_peaks: list[float], ceiling: float = HEADROOM_DBTP
) -> list[float]:
    """Gain in dB for each clip so that all play at one loudness and none above `ceiling` dBTP.

    The target is the loudest level that every clip can reach. Raises ValueError for silence.
    """
    if not all(np.isfinite(loudness)):
        raise ValueError("a silent clip cannot be matched")
    target = min(level + ceiling - peak for level, peak in zip(loudness, true_peaks, strict=True))
    # And no louder than the loudest of them is by itself: matching must not raise the level in
    # anybody's headphones.
    target = min(target, max(loudness))
    return [target - level for level in loudness]


def difference(a: Bands, b: Bands) -> NDArray[np.float64]:
    """b minus a per band, overall level taken out, dB; NaN where one has nothing."""
    with np.errstate(invalid="ignore"):
        raw = b.levels - a.levels
    raw[~np.isfinite(raw)] = np.nan
    power = 10 ** (a.levels / 10), 10 ** (b.levels / 10)
    overall = 10 * np.log10(power[1].sum() / power[0].sum())
    return np.asarray(raw - overall)


def in_words(
    change: NDArray[np.float64],
    least_db: float = 1.0,
    spread_db: float = 6.0,
    weights: NDArray[np.float64] | None = None,
) -> list[str]:
    """Runs of neighbouring bands that moved the same way by `least_db` or more, largest first.

    “2.8 dB less at 100–160 Hz”. A run whose bands lie more than `spread_db` apart is told in
    parts, lest its mean hide them. Empty when nothing moved that far. `weights`, 0 to 1, say how
    much of each band is heard: a run comes by its decibels times that of its most audible band,
    and one with none says so.
    """
    runs: list[tuple[float, str]] = []
    for start, end in _runs(change, least_db):
        for first, last in _parts(change, start, end, spread_db):
            mean = float(np.mean(change[first:last]))
            weight = 1.0 if weights is None else float(weights[first:last].max())
            heard, unheard = (_MORE, _MORE_UNHEARD) if mean > 0 else (_LESS, _LESS_UNHEARD)
            words = Said(
                heard if weight > 0 else unheard, db=abs(mean), where=band_range(first, last - 1)
            )
            runs.append((mean * weight, words))
    return [text for _, text in sorted(runs, key=lambda run: -abs(run[0]))]


def _runs(change: NDArray[np.float64], least_db: float) -> Iterator[tuple[int, int]]:
    start = 0
    while start < len(change):
        end = start
        while end < len(change) and _moved(change[end], change[start], least_db):
            end += 1
        if end > start:
            yield start, end
        start = max(end, start + 1)


def _parts(
    change: NDArray[np.float64], start: int, end: int, spread_db: float
) -> Iterator[tuple[int, int]]:
    run = change[start:end]
    if run.max() - run.min() <= spread_db:
        yield start, end
        return
    # At the largest step between neighbours, where the two parts differ most.
    step = start + 1 + int(np.argmax(np.abs(np.diff(run))))
    yield from _parts(change, start, step, spread_db)
    yield from _parts(change, step, end, spread_db)


def _moved(value: float, first: float, least_db: float) -> bool:
    return bool(np.isfinite(value) and abs(value) >= least_db and value * first > 0)


def band_range(first: int, last: int) -> str:
    """From one band to another by their indices: “100–160 Hz”."""
    low, high = (float(NOMINAL[i]) for i in (first, last))
    if first == last:
        return hertz_words(high)
    if high < 1000:
        return Said(_IN_HZ, low=low, high=high)
    if low < 1000:
        return Said(_INTO_KHZ, low=low, high=high / 1000)
    return Said(_IN_KHZ, low=low / 1000, high=high / 1000)
