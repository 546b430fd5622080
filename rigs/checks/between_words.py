"""The needs between two songs in words, one line each, for pages and for paper."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext_lazy

from core.durations import format_duration
from rigs.checks.between_songs import Fit, Move, Need

STATES = {
    Fit.FITS: pgettext_lazy("time between songs", "fits"),
    Fit.SHORT: pgettext_lazy("time between songs", "too short"),
    Fit.UNKNOWN: pgettext_lazy("time between songs", "not known"),
}


def need_words(need: Need) -> str:
    """A need in one line: “Retune “Huvel” to …: 3 strings, 0:45; the gap is 0:20, too short …”."""
    if need.is_press:
        return need.words
    return _("{need}: {takes}; {time}").format(
        need=need.words, takes=_takes(need), time=_time(need)
    )


def _takes(need: Need) -> str:
    time = format_duration(need.seconds)
    if need.seconds is None:
        return _("how long is not known")
    if not need.strings:
        return time
    words = ngettext("{n} string, {time}", "{n} strings, {time}", need.strings)
    return words.format(n=need.strings, time=time)


def _time(need: Need) -> str:
    """What there is of it."""
    if need.fit == Fit.UNKNOWN:
        return _("not known: {missing}").format(missing=need.missing)
    times = {"time": format_duration(need.available), "lacking": format_duration(need.lacking)}
    if need.fit == Fit.SHORT and need.off_stage:
        return _("there is {time}, too short by {lacking}").format(**times)
    if need.fit == Fit.SHORT:
        return _("the gap is {time}, too short by {lacking}").format(**times)
    return (_("there is {time}") if need.off_stage else _("the gap is {time}")).format(**times)


def way_out(move: Move) -> str:
    """A sentence on what the spare would save; empty if there is none or nothing is too short."""
    if not move.spare or move.fit == Fit.FITS:
        return ""
    words = (
        _("“{unit}” is in that tuning already: changing to it takes {time}, which fits.")
        if move.spare_fits
        else _("“{unit}” is in that tuning already: changing to it takes {time}.")
    )
    return words.format(unit=move.spare, time=format_duration(move.spare_seconds))
