"""What was offered or came, against what is wanted, accepted instead and not accepted. Pure."""

from __future__ import annotations

import re
from enum import StrEnum


class Fit(StrEnum):
    """How something offered stands to what is asked for; the value is what a page says."""

    WANTED = "as wanted"
    ACCEPTED = "accepted instead"
    REFUSED = "is among what is not accepted"
    UNKNOWN = "not among what is named"


def named(text: str) -> list[str]:
    """What a field names, one a line, empty lines left out."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def fit_of(offered: str, *, wanted: str, accepted: str, refused: str) -> Fit | None:
    """None where nothing was offered.

    A name is found where all its words stand together in what is offered: “Tarn Fifty” in “Tarn
    Fifty head, 2019”. What is not accepted counts first, because missing it does harm.
    """
    if not _words(offered):
        return None
    for fit, text in ((Fit.REFUSED, refused), (Fit.WANTED, wanted), (Fit.ACCEPTED, accepted)):
        if any(_is_in(name, offered) for name in named(text)):
            return fit
    return Fit.UNKNOWN


def _is_in(name: str, offered: str) -> bool:
    sought, there = _words(name), _words(offered)
    # Whole words, so that “Tarn 5” is not found in “Tarn 50”.
    return bool(sought) and f" {' '.join(sought)} " in f" {' '.join(there)} "


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", text.casefold())
