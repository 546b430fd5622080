"""The needs between two songs in words, one line each, for pages and for paper."""

from __future__ import annotations

from core.durations import format_duration
from rigs.checks.between_songs import Fit, Move, Need

STATES = {Fit.FITS: "fits", Fit.SHORT: "too short", Fit.UNKNOWN: "not known"}


def need_words(need: Need) -> str:
    """A need in one line: “Retune “Huvel” to …: 3 strings, 0:45; the gap is 0:20, too short …”."""
    if need.is_press:
        return need.words
    strings = need.strings
    count = f"{strings} string{'' if strings == 1 else 's'}, " if strings else ""
    takes = "how long is not known" if need.seconds is None else format_duration(need.seconds)
    has = "there is" if need.off_stage else "the gap is"
    if need.fit == Fit.UNKNOWN:
        end = f"not known: {need.missing}"
    elif need.fit == Fit.SHORT:
        end = f"{has} {format_duration(need.available)}, too short by " + format_duration(
            need.lacking
        )
    else:
        end = f"{has} {format_duration(need.available)}"
    return f"{need.words}: {count}{takes}; {end}"


def way_out(move: Move) -> str:
    """A sentence on what the spare would save; empty if there is none or nothing is too short."""
    if not move.spare or move.fit == Fit.FITS:
        return ""
    takes = format_duration(move.spare_seconds)
    fits = ", which fits" if move.spare_fits else ""
    return f"“{move.spare}” is in that tuning already: changing to it takes {takes}{fits}."
