"""What the history of the patch says: stored in English, told in the language of the reader."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from core.languages.choice import as_stored
from core.languages.sentences import Sentences, each_retold, label_retold
from rigs.models import PatchChange
from rigs.models.patch import PatchBox, PhantomFrom

_WAY = re.compile(r".+ \d+", re.DOTALL)  # “A 1”
NO_WAY = gettext_noop("no way")


class Says(Sentences):
    """Sentences on boxes, runs and what is lent."""

    AS_USUAL = gettext_noop("{name}: as for all shows")
    NEW_BOX = gettext_noop("{name}: {kind} {mark} of {n} ways")
    BOX = gettext_noop("{name}: {kind} {mark} of {n} ways, changed")
    TAKEN_OFF = gettext_noop("{name}: taken off")
    PLUGGED = gettext_noop("{run}: plugged")
    TAKEN_OUT = gettext_noop("{run}: taken out")
    LENT = gettext_noop("{what}, lent to {act}")
    BORROWED = gettext_noop("{what}, borrowed from {act}")
    ANSWERED = gettext_noop("A guest’s question is answered.")
    SETTLED = gettext_noop("A guest’s question is settled.")
    LENT_NO_MORE = gettext_noop("{what}, lent to {act}: not any more")
    BORROWED_NO_MORE = gettext_noop("{what}, borrowed from {act}: not any more")


class OfLine(Sentences):
    """What becomes of the line of an input, one after the other behind its name."""

    MONITOR = gettext_noop("monitor {channel}")
    NO_MONITOR = gettext_noop("monitor none")
    SPLIT = gettext_noop("split {split}")
    SPLIT_AS_BOX = gettext_noop("split as the box says")
    PHANTOM = gettext_noop("phantom power from {source}")


class OfGuests(Sentences):
    """What a guest did. What they wrote is kept apart, with its answer; `ABOUT` is of before."""

    ASKED = gettext_noop("A question about the patch.")
    MARKED = gettext_noop("A question about {ways}.")
    ABOUT = gettext_noop("About {ways}: {words}")


@PatchChange.told_by
def told_of(change: PatchChange) -> list[str]:
    """What changed, or what a guest remarked, in the language of the reader."""
    if change.by_id is None:
        return [_remark_retold(each) for each in change.words]
    return [words_retold(each) for each in change.words]


def words_retold(words: str) -> str:
    """A sentence of the history in the language of the reader."""
    told = Says.retold(words, kind=_kind_retold)
    if told != words:
        return told
    name, colon, said = words.partition(": ")
    return f"{name}{colon}{_said_retold(said)}"


def _said_retold(said: str) -> str:
    """What becomes of a line; else what stands in the place of a box, where only the number of its
    ways is not typed."""
    parts = said.split(", ")
    if all(map(_is_of_line, parts)):
        return each_retold(said, _of_line_retold)
    return each_retold(said, _ways_retold)


def _is_of_line(part: str) -> bool:
    return _of_line_retold(part) != part or all(map(_WAY.fullmatch, part.split(" → ")))


def _of_line_retold(part: str) -> str:
    if NO_WAY in part.split(" → "):
        return each_retold(part, lambda way: _(way) if way == NO_WAY else way, " → ")
    return OfLine.retold(part, source=_source_retold)


def _ways_retold(part: str) -> str:
    number = part.partition(" ")[0]
    if not number.isdecimal():
        return part
    with as_stored():
        stored = _ways(int(number))
    return _ways(int(number)) if part == stored else part


def _ways(n: int) -> str:
    return ngettext("{n} way", "{n} ways", n).format(n=n)


def _source_retold(source: str) -> str:
    return label_retold(source, PhantomFrom.labels)


def _kind_retold(kind: str) -> str:
    return label_retold(kind, PatchBox.Kind.labels)


def _remark_retold(words: str) -> str:
    # Of before: ways began with the number of their channel; other words that began so were typed.
    if words.startswith("About ") and not re.match(r"About \d", words):
        return words
    return OfGuests.retold(words)
