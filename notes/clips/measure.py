"""What is measured of a clip: one pass over its blocks, one dictionary that JSON can hold."""

from __future__ import annotations

import math
from typing import Any

from notes.clips.decode import Block
from notes.clips.survey import PeakOutline
from notes.listening import bands, loudness, peaks
from notes.listening.meters import LoudnessMeter, PeakMeter, SpectrumMeter

# Kept beside the figures: what was measured by another method is measured again.
METHOD = f"{loudness.METHOD} {peaks.METHOD} {bands.METHOD}"
_OUTLINE = 240


class ClipMeter:
    """Add the blocks of a clip of one or two channels, then ask for its figures."""

    def __init__(self, rate: int, channels: int) -> None:
        self._rate, self._channels, self._frames = rate, channels, 0
        self._loudness = LoudnessMeter(rate, channels)
        self._peaks = PeakMeter(rate, channels)
        self._spectrum = SpectrumMeter(rate, channels)
        self._outline = PeakOutline(1, _OUTLINE)

    def add(self, block: Block) -> None:
        self._frames += len(block)
        for meter in (self._loudness, self._peaks, self._spectrum):
            meter.add(block)
        self._outline.add(abs(block).max(axis=1, keepdims=True))

    def figures(self) -> dict[str, Any]:
        """LUFS, LU, dBFS, dBTP, dB, Hz; null for what has no value: too short, or silence.

        `bands` are the levels of the third-octave bands of notes.listening.bands, dBFS.
        `dc_offset` is a share of full scale, with its sign. `outline` is the peak of each stretch,
        full scale 1000.
        """
        figures: dict[str, Any] = {
            "seconds": self._frames / self._rate,
            "rate_hz": self._rate,
            "channels": self._channels,
            **self._loudness_figures(),
            "sample_peak": self._peaks.sample_peak(),
            "true_peak": self._peaks.true_peak(),
            "crest": self._peaks.crest_factor(),
            "clipped_runs": self._peaks.clipped_runs(),
            "clipped_seconds": self._peaks.clipped_samples() / self._rate,
            "dc_offset": self._peaks.dc_offset(),
            **self._spectrum_figures(),
            "outline": [round(float(p) * 1000) for p in self._outline.result()[:, 0]],
        }
        return {name: _plain(value) for name, value in figures.items()}

    def _loudness_figures(self) -> dict[str, Any]:
        names = {
            "integrated": "integrated",
            "momentary_max": "momentary_max",
            "short_term_max": "short_term_max",
            "range": "range_lu",
        }
        try:
            loudness = self._loudness.result()
        except ValueError:  # shorter than one window
            return dict.fromkeys(names)
        figures: dict[str, Any] = {name: getattr(loudness, at) for name, at in names.items()}
        if not math.isfinite(loudness.short_term_max):
            figures["range"] = None  # less than 3 s has no range, rather than a range of 0
        return figures

    def _spectrum_figures(self) -> dict[str, Any]:
        frequencies, density = self._spectrum.spectrum()
        levels = bands.bands_of(frequencies, density, self._rate)
        parts = bands.balance(levels) if density.any() else {}
        return {
            "bands": levels.levels.tolist(),
            "centroid": bands.centroid_of(frequencies, density),
            **{name: parts.get(name) for name in ("low", "middle", "high")},
            "correlation": self._spectrum.correlation(),
        }


# JSON has neither infinity nor NaN.
def _plain(value: Any) -> Any:
    if isinstance(value, list):
        return [_plain(each) for each in value]
    if isinstance(value, float):
        return round(value, 4) if math.isfinite(value) else None
    return value
