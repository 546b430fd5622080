"""The ranking in words: what is likely, how much of it, and what would tell."""

from __future__ import annotations

import numpy as np

from notes.causes.hearing import hertz
from notes.causes.rank import NONE, NOTHING, Cause, Ranking
from notes.listening.bands import NOMINAL, midbands
from notes.listening.compare import in_words

MOST_TOLD = 5


def headline(ranking: Ranking) -> str:
    """One sentence; it proposes, and never says that something is certain."""
    best = ranking.best
    if best.key == NOTHING:
        return "Nothing that is larger than the difference between two takes: it may be unchanged."
    if best.key == NONE:
        return "Something differs, and nothing on this list explains it."
    sure = best.verdict == "likely" and ranking.tells
    how = "Most likely" if sure else "Perhaps"
    return f"{how}: {named(best)}."


def named(cause: Cause) -> str:
    """“High-pass: in, at 250 Hz”."""
    return f"{cause.label}: {cause.size.words}" if cause.size else cause.label


def differences(ranking: Ranking) -> list[str]:
    """What differs by more than takes do, as the page of clips side by side says it."""
    whole = np.full(len(NOMINAL), np.nan)
    whole[np.isin(midbands(), hertz())] = ranking.counted
    return in_words(whole, 0.1)[:MOST_TOLD]


def evidence(cause: Cause) -> str:
    """“87 % of the evidence”; never all of it, because nothing is certain."""
    return f"{share(cause.share)} of the evidence"


def share(value: float) -> str:
    if value > 0.99:  # noqa: PLR2004
        return "more than 99 %"
    return "less than 1 %" if value < 0.01 else f"{100 * value:.0f} %"  # noqa: PLR2004


def interval(cause: Cause) -> str:
    if not cause.size or cause.low == cause.high:
        return ""
    return f"between “{cause.low}” and “{cause.high}”"
