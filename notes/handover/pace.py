"""How long a handover takes to read, by its words. Pure."""

from __future__ import annotations

from math import ceil
from typing import Any

# Most adults read 175 to 300 words of English non-fiction a minute (M. Brysbaert, "How many words
# do we read per minute?", Journal of Memory and Language 109, 2019, 104047). The slow end of it:
# this is read on a telephone, by people who have other things to look at.
WORDS_A_MINUTE = 175
# Headings, labels, dates and states of the page come on top of the words that are counted, but for
# the general part, which is nothing but words; measured on the demonstration, and tested there.
_LABELS = 1.45
_PLAIN = ("general", "leg")
# Keys whose values nobody reads as words: ids, digests, codes, and what the text beside them says.
_UNREAD = frozenset(
    {
        "schema",
        "production",
        "id",
        "key",
        "digest",
        "language",
        "previous",
        "by_player",
        "sign_off",
        "sha256",
        "image",
        "period",
        "size",
        "trial",
        "kind",
        "what",
        "state",
        "party",
        "written",
        "between",
        "alternative",
        "severity",
        "old",
        "new",
        "label",
        "is_new",
        "song",
        "x",
        "y",
        # Quantities; their words stand beside them.
        "placement",
        "mix_distance",
        "length",
        "quantity",
        "cable",
        "connectors",
        "right",
        "front",
        "from_snare",
        "tape",
    }
)


def minutes(words: int) -> int:
    return max(1, ceil(words / WORDS_A_MINUTE))


def words_of(content: dict[str, Any]) -> int:
    """About how many words a page of a handover has, its labels included."""
    plain = sum(_words(content[key]) for key in _PLAIN if key in content)
    return ceil(plain + (_words(content) - plain) * _LABELS)


def _words(value: Any) -> int:
    # Asked of all that stands in a handover, thirty times: loops, which take half as long as sums.
    if isinstance(value, str):
        return len(value.split())
    count = 0
    if isinstance(value, dict):
        for key, each in value.items():
            if key not in _UNREAD:
                count += _words(each)
        return count
    if isinstance(value, list | tuple):
        for each in value:
            count += _words(each)
        return count
    return 0 if value is None or isinstance(value, bool) else 1


def first(text: str, number: int) -> str:
    """The first so many words of a text, with … where there were more."""
    words = text.split()
    if not number:
        return ""
    return text if len(words) <= number else f"{' '.join(words[:number])} …"
