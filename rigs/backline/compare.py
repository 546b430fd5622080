"""What was offered or came, against what is wanted, accepted instead and not accepted. Pure."""

from __future__ import annotations

import re
from enum import StrEnum

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop


class Fit(StrEnum):
    """How something offered stands to what is asked for; its words are what a page says."""

    WANTED = gettext_noop("as wanted")
    ACCEPTED = gettext_noop("accepted instead")
    REFUSED = gettext_noop("is among what is not accepted")
    UNKNOWN = gettext_noop("not among what is named")

    @property
    def words(self) -> str:
        return _(self.value)


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
