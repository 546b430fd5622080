"""What a line check tells of the line of an input besides what is marked: kept, since no mark
changes it, and during a check somebody marks every few seconds."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any, NamedTuple
from uuid import UUID

from django.utils.translation import get_language

from core.kept.shelf import Shelf
from core.languages.words import each_of
from core.models import Show
from notes.models import OF_LINE_CHECKS
from notes.monitors.wanted import wanted_in
from rigs.models import Input
from rigs.patch.load import patch_of
from rigs.scenes.matter import scenes_before
from rigs.shows.players import WhoPlays
from rigs.songs.matter import songs_that_matter


class LineWords(NamedTuple):
    """In the language of now; empty where there is nothing to tell."""

    scenes: str = ""  # that its sound depends on
    path: str = ""  # where its line lands that day
    lent: Sequence[str] = ()  # the acts that take a way of it
    without: str = ""  # the songs of the show that leave it out
    mixes: str = ""  # the monitor mixes it is wanted in, and how much of it


class WordsOfShow(NamedTuple):
    """`lent` is what other acts take or give, each with its ways."""

    lines: dict[UUID, LineWords]
    lent: list[list[str]]

    def of(self, entry: Input) -> LineWords:
        return self.lines.get(entry.pk, LineWords())


def words_of(show: Show, inputs: Sequence[Input], who: WhoPlays) -> WordsOfShow:
    """What is told of `inputs`, which are on the list of `show` that day. Two queries, and a dozen
    and a half after something else than a mark was written; `show.leg.production` is at hand."""
    shelf = Shelf(show.leg.production_id, without=OF_LINE_CHECKS)
    asked = [show.pk, get_language()]
    kept = shelf.get("words of a line check", asked, partial(_made, show, inputs, who))
    lines = {UUID(entry): LineWords(*told) for entry, told in kept["lines"].items()}
    return WordsOfShow(lines, kept["lent"])


def _made(show: Show, inputs: Sequence[Input], who: WhoPlays) -> dict[str, Any]:
    songs = songs_that_matter(show, {entry.rig_id for entry in inputs})
    scenes = scenes_before(inputs, songs.calling, who.rigs)
    patch = patch_of(show.leg.production, show)
    mixes = wanted_in(show.leg.production_id, [entry.pk for entry in inputs])
    told = {}
    for entry in inputs:
        line = patch.line_of(entry.pk)
        told[str(entry.pk)] = LineWords(
            scenes.get(entry.pk, ""),
            line.path,
            line.lent,
            each_of(songs.without.get(entry.pk, ())),
            mixes.get(entry.pk, ""),
        )
    lines = {entry: words for entry, words in told.items() if words != LineWords()}
    return {"lines": lines, "lent": [[str(each), each.ways] for each in patch.lent]}
