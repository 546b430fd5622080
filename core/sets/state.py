"""A set as plain values: what is compared, brought together and kept in its history. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Self

from django.utils.translation import gettext as _

SONG, HEADING, ENCORE, BREAK, NOTE = "song", "heading", "encore", "break", "note"
# What may be changed on a line that is there. Kind and song of a line never change.
FIELDS = ("title", "cut", "reprise", "joined", "note", "length_s")
MOST_LINES = 200


@dataclass(frozen=True, slots=True)
class Line:
    """One line; `id` and `song` are UUIDs as text, `length_s` is in s (None: that of the song)."""

    id: str
    kind: str = SONG
    song: str | None = None
    title: str = ""
    cut: bool = False
    reprise: bool = False
    joined: bool = False
    note: str = ""
    length_s: int | None = None


@dataclass(frozen=True, slots=True)
class State:
    """A whole set, its lines in order; `target_s` is the length wanted, in s."""

    lines: tuple[Line, ...] = ()
    target_s: int | None = None

    @property
    def ids(self) -> list[str]:
        return [line.id for line in self.lines]

    @property
    def by_id(self) -> dict[str, Line]:
        return {line.id: line for line in self.lines}

    def in_order(self, ids: list[str]) -> Self:
        lines = self.by_id
        return replace(self, lines=tuple(lines[each] for each in ids))

    def plain(self) -> dict[str, Any]:
        return {"target_s": self.target_s, "lines": [asdict(line) for line in self.lines]}

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Self:
        lines = tuple(Line(**line) for line in plain.get("lines", ()))
        return cls(lines, plain.get("target_s"))


def problems(state: State, titles: Mapping[str, str]) -> dict[str, str]:
    """What is wrong with a set, by the id of the line it is wrong at (empty for the whole).

    `titles` are those of the songs, by id.
    """
    wrong: dict[str, str] = {}
    if len(state.lines) > MOST_LINES:
        wrong[""] = _("A set has {n} lines at most.").format(n=MOST_LINES)
    first: dict[str, int] = {}
    for at, line in enumerate(state.lines, start=1):
        if line.kind != SONG and not line.title:
            wrong[line.id] = _("Write what stands here.")
        if line.kind == SONG and line.song and not line.reprise:
            if line.song in first:
                wrong[line.id] = _(
                    "“{song}” is in the set already, at {at}. If it is played once more, say so: "
                    "reprise."
                ).format(song=titles.get(line.song) or _("This song"), at=first[line.song])
            first.setdefault(line.song, at)
    return wrong
