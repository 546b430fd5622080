"""Changes between two songs that take longer than there is time, as findings. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.between_songs import ChangeSeconds, Fit, Move, Need
from rigs.checks.between_words import way_out
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Severity, not_measured

WHY = gettext_lazy(
    "The next song starts before the player has the instrument, or before it is in tune."
)
MEND = gettext_lazy(
    "A longer gap, another order of the set, or a second instrument that is tuned beforehand."
)


def short_changes(
    key: str, moves: Iterable[Move], times: ChangeSeconds, who: str = ""
) -> Iterator[Finding]:
    """The findings of rule `key` on the moves of one rig: each that is too short, and one for all
    that is not known. `who` plays it, where rigs of several stand beside each other."""
    moves = list(moves)
    for move in moves:
        for need in move.needs:
            if need.fit == Fit.SHORT:
                yield _short(key, move, need, times, who)
    yield from _not_known(key, [need for move in moves for need in move.needs], who)


def _short(key: str, move: Move, need: Need, times: ChangeSeconds, who: str) -> Finding:
    strings = () if need.strings is None else (Figure(_("strings"), float(need.strings)),)
    title = (
        _("{player}: “{before}” to “{after}”: {what}")
        if who
        else _("“{before}” to “{after}”: {what}")
    )
    return Finding(
        key,
        (*need.units, move.before.id, move.after.id),
        Severity.LOOK,
        title.format(
            player=who, before=move.before.title, after=move.after.title, what=need.too_long
        ),
        str(WHY),
        way_out(move) or str(MEND),
        Certainty.ESTIMATE,
        (
            Figure(_("takes"), float(need.seconds or 0), "s"),
            Figure(_("there is"), float(need.available or 0), "s"),
            *strings,
        ),
        (
            _(
                "Changing the instrument takes {change} s, retuning one string {string} "
                "s, as stated beside the run sheet or commonly assumed."
            ).format(change=times.change, string=times.string),
        ),
    )


def _not_known(key: str, needs: list[Need], who: str) -> Iterator[Finding]:
    """One finding for all that is missing, since a set without times has many gaps."""
    lacking = [need for need in needs if need.fit == Fit.UNKNOWN]
    if lacking:
        units = dict.fromkeys(unit for need in lacking for unit in need.units)
        missing = dict.fromkeys(need.missing for need in lacking)
        about = (
            _("Changes between songs, {player}").format(player=who)
            if who
            else _("Changes between songs")
        )
        yield not_measured(key, units, about, missing, WHY)
