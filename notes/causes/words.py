"""The ranking in words: what is likely, how much of it, and what would tell."""

from __future__ import annotations

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from core.languages.marked import Said, gettext_noop
from core.languages.words import told
from notes.causes.hearing import hertz
from notes.causes.rank import NONE, NOTHING, Cause, Ranking
from notes.causes.scatter import Scatter
from notes.listening.bands import NOMINAL, midbands
from notes.listening.compare import in_words

MOST_TOLD = 5


def headline(ranking: Ranking) -> str:
    """One sentence; it proposes, and never says that something is certain."""
    best = ranking.best
    if best.key == NOTHING:
        return _(
            "Nothing that is larger than the difference between two takes: it may be unchanged."
        )
    if best.key == NONE:
        return _("Something differs, and nothing on this list explains it.")
    cause = told(named(best))
    if best.verdict == "likely" and ranking.tells:
        return _("Most likely: {cause}.").format(cause=cause)
    return _("Perhaps: {cause}.").format(cause=cause)


def named(cause: Cause) -> str:
    """“High-pass: in, at 250 Hz”, to be told, or kept in English."""
    if not cause.size:
        return cause.label
    return Said(gettext_noop("{cause}: {size}"), cause=cause.label, size=cause.size.words)


def differences(ranking: Ranking) -> list[str]:
    """What differs by more than takes do, as the page of clips side by side says it; to be told,
    or kept in English."""
    whole = np.full(len(NOMINAL), np.nan)
    whole[np.isin(midbands(), hertz())] = ranking.counted
    return in_words(whole, 0.1)[:MOST_TOLD]


def verdict(cause: Cause) -> str:
    """“Likely”, at the start of a sentence about how much of the evidence it has."""
    return {
        "likely": pgettext("cause", "Likely"),
        "possible": pgettext("cause", "Possible"),
        "hardly": pgettext("cause", "Hardly"),
    }[cause.verdict]


def share(value: float) -> str:
    """“87 %”; never all of it, because nothing is certain."""
    if value > 0.99:  # noqa: PLR2004
        return _("more than 99 %")
    if value < 0.01:  # noqa: PLR2004
        return _("less than 1 %")
    return f"{100 * value:.0f} %"


def interval(cause: Cause) -> str:
    if not cause.size or cause.low == cause.high:
        return ""
    return _("Its size lies between “{low}” and “{high}”.").format(
        low=told(cause.low), high=told(cause.high)
    )


def scatter(spread: Scatter, since: str = "") -> str:
    """How far takes differ, and by what that is known; `since` when it is on record."""
    if spread.takes == 0:
        return _(
            "How takes differ by themselves is assumed, since there are not three takes of the "
            "signed sound."
        )
    return _on_record(spread, since) if since else _measured(spread)


def _measured(spread: Scatter) -> str:
    if spread.pieces:
        said = ngettext(
            "How takes differ by themselves is measured on {n} piece of one clip.",
            "How takes differ by themselves is measured on {n} pieces of one clip.",
            spread.takes,
        )
    else:
        said = ngettext(
            "How takes differ by themselves is measured on {n} clip of the signed sound.",
            "How takes differ by themselves is measured on {n} clips of the signed sound.",
            spread.takes,
        )
    return said.format(n=spread.takes)


def _on_record(spread: Scatter, since: str) -> str:
    if spread.pieces:
        said = ngettext(
            "How takes differ by themselves is measured on {n} piece of one clip, on record with "
            "the signature since {day}.",
            "How takes differ by themselves is measured on {n} pieces of one clip, on record with "
            "the signature since {day}.",
            spread.takes,
        )
    else:
        said = ngettext(
            "How takes differ by themselves is measured on {n} clip of the signed sound, on record "
            "with the signature since {day}.",
            "How takes differ by themselves is measured on {n} clips of the signed sound, on "
            "record with the signature since {day}.",
            spread.takes,
        )
    return said.format(n=spread.takes, day=since)
