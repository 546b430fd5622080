"""Read a list of titles, one a line, as songs that there are. Pure.

Case, punctuation and accents do not count, and one wrong letter is forgiven; where more than one
song could be meant, or one only looks alike, nobody guesses.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from django.utils.translation import gettext_lazy

from core.languages.typed import Typed
from core.sets.state import BREAK, ENCORE, NOTE, SONG

# A number or a bullet in front of a title: “3. ”, “3) ”, “- ”. A title may begin with a figure.
# Full-width marks need no space behind them.
_LEAD = re.compile(r"^\s*(?:\d{1,3}\s*(?:[.):]\s+|[．）：、]\s*)|[-–—*•]\s+|・\s*)")  # noqa: RUF001
SHORTEST = 4  # letters of a title in which a wrong one is forgiven
SUGGESTED = 3


@dataclass(frozen=True, slots=True)
class Read:
    """A line that was pasted. `song` is the id of the one that is meant, empty where nobody knows;
    `alike` are ids of those that may be. `is_exact`: not one letter differs."""

    text: str
    kind: str = SONG
    song: str = ""
    alike: tuple[str, ...] = ()
    is_exact: bool = True


def read(text: str, songs: Sequence[tuple[str, str]]) -> list[Read]:
    """The lines of `text`; `songs` are ids with titles. Empty lines are left out."""
    folded = [(key, fold(title)) for key, title in songs]
    lines = (_LEAD.sub("", " ".join(line.split())) for line in text.splitlines())
    return [_line(line, folded) for line in lines if fold(line)]


def _line(line: str, songs: Sequence[tuple[str, str]]) -> Read:
    asked = fold(line)
    exact = [key for key, title in songs if title == asked]
    if len(exact) == 1:
        return Read(line, song=exact[0])
    if exact:
        return Read(line, alike=tuple(exact))
    if kind := _LINES.get(asked):
        return Read(line, kind)
    if line.startswith(("(", "（")) and line.endswith((")", "）")):  # noqa: RUF001
        return Read(line[1:-1].strip(), NOTE)
    near = [key for key, title in songs if one_wrong_letter(asked, title)]
    if len(near) == 1:
        return Read(line, song=near[0], is_exact=False)
    if near:
        return Read(line, alike=tuple(near))
    begins = [key for key, title in songs if title.startswith(f"{asked} ")]
    close = get_close_matches(asked, [title for _, title in songs], SUGGESTED, 0.6)
    meant = [*begins, *(key for key, title in songs if title in close)]
    return Read(line, alike=tuple(dict.fromkeys(meant)))


def fold(text: str) -> str:
    """Letters and figures only, small, without accents, words apart by one space."""
    plain = unicodedata.normalize("NFKD", text.replace("&", " and ").casefold())
    kept = "".join(
        c if c.isalnum() else "" if c in "'’‘`´" or unicodedata.combining(c) else " " for c in plain
    )
    return " ".join(kept.split())


_LINES = Typed(
    [
        (gettext_lazy("encore|encores"), ENCORE),
        (gettext_lazy("break|interval|pause"), BREAK),
    ],
    fold,
)


def one_wrong_letter(one: str, other: str) -> bool:
    """Whether two folded titles are one letter apart: another, missing, too many, or swapped."""
    if min(len(one), len(other)) < SHORTEST or abs(len(one) - len(other)) > 1:
        return False
    at = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    if at is None:
        return len(one) != len(other)
    here, there = one[at:], other[at:]
    return (
        here[1:] == there[1:]
        or here[1:] == there
        or here == there[1:]
        or (here[:2] == there[1::-1] and here[2:] == there[2:])
    )
