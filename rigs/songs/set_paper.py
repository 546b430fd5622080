"""The set on paper: in large type for the stage floor, and with all that is known for the desk."""

from __future__ import annotations

from math import ceil
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core import clock
from core.durations import format_duration
from core.languages.words import apart, each_of, leading
from core.models import Show
from core.sets.order import SetLine, SetOfShow
from core.sets.state import ENCORE, HEADING
from core.units import plain
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at
from rigs.shows.players import WhoPlays, name_at
from rigs.songs.run_sheet import RunSheet, RunSong

# Songs that one page of large type takes; more goes over, and the first page says so.
ON_ONE_PAGE = 16
LARGEST, LARGE, SMALLEST = 40, 26, 16  # pt
# What Letter, the lower of the two, has below the title; and what both have beside the numbers.
HEIGHT_PT, WIDTH_PT = 590, 440


def floor_page(show: Show, found: SetOfShow, *, paper: Paper) -> bytes:
    """The set for the stage floor as PDF: titles, and the notes that players need."""
    # What is cut is not played, and nobody on stage should have to read around it.
    lines = [line for line in found.lines if not line.cut]
    data = _data(show, paper) | {
        "title": _("Set, {show}").format(show=show),
        "lines": [_floor_line(line) for line in lines],
        "size": _size(lines, len(found.played)),
    }
    return press("set_floor.typ", data)


def desk_page(show: Show, sheet: RunSheet, *, paper: Paper, who: WhoPlays | None = None) -> bytes:
    """The set for the desk as PDF: lengths, tempo, gaps and notes, and the sum of it; of each song
    the scenes it is played in, the MIDI sent for it and the inputs that it leaves out."""
    found = sheet.set
    rigs = {row.line.id: _desk_rigs(row, who) for row in sheet.songs}
    has_rigs = any(rigs.values())
    data = _data(show, paper) | {
        "title": _("Set for the desk, {show}").format(show=show),
        "has_rigs": has_rigs,
        "rows": [
            [*_desk_row(line), *([rigs.get(line.id, "")] if has_rigs else [])]
            for line in found.lines
        ],
        "sum": sum_words(found),
    }
    return press("set_desk.typ", data)


def sum_words(found: SetOfShow) -> str:
    """How long the set is, and what is over or left of the length wanted."""
    count, length = len(found.played), format_duration(found.seconds)
    if found.is_whole:
        said = ngettext("{n} song, {length}", "{n} songs, {length}", count)
    else:
        said = ngettext("{n} song, at least {length}", "{n} songs, at least {length}", count)
    words, over = said.format(n=count, length=length), found.over_s
    if over is None:
        return words
    if over == 0:
        said = _("{set} of {wanted}: exactly")
    else:
        said = (
            _("{set} of {wanted}: {time} over") if over > 0 else _("{set} of {wanted}: {time} left")
        )
    wanted = format_duration(found.target_s)
    return said.format(set=words, wanted=wanted, time=format_duration(abs(over)))


def _data(show: Show, paper: Paper) -> dict[str, Any]:
    return {
        "paper": paper,
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(show.leg.production),
        "show": str(show),
    }


def _size(lines: list[SetLine], songs: int) -> int:
    """The largest type, in points, at which the lines fit one page of either paper.

    A set with more songs than one page is meant for stays large, and goes over.
    """
    fits = (size for size in range(LARGEST, SMALLEST, -1) if _height(lines, size) <= HEIGHT_PT)
    return LARGE if songs > ON_ONE_PAGE else next(fits, SMALLEST)


def _height(lines: list[SetLine], size: int) -> float:
    """About how high the lines are, in points; measured on sheets that were made."""
    per_row = WIDTH_PT / (0.5 * size)  # letters, of half an em on average
    height = 0.0
    for line in lines:
        rows = ceil(len(line.name) / per_row) if line.is_song else 1
        height += 1.4 + 1.25 * (rows - 1)
        noted = _marks(line)
        height += 0.85 * ceil(len(noted) / (2 * per_row)) if noted else 0
    return height * size


def _marks(line: SetLine) -> str:
    """What is said below a title on the stage floor."""
    marks = ((_("reprise"), line.reprise), (_("straight on"), line.joined))
    said = [word for word, is_so in marks if is_so]
    return each_of([*said, *([line.note] if line.note else [])])


def _floor_line(line: SetLine) -> dict[str, Any]:
    return {
        "number": str(line.number or ""),
        "name": line.name,
        "note": _marks(line),
        "song": line.is_song,
        "heading": line.kind in (HEADING, ENCORE),
    }


def _desk_rigs(row: RunSong, who: WhoPlays | None) -> str:
    """“Ivo Tandeker: 2 Echo; without Bass mic”, of each rig that has something of it."""
    said = []
    for part in row.parts:
        scenes = [each.scene.label for each in part.scenes if each.scene is not None]
        without = (
            [_("without {inputs}").format(inputs=each_of(part.inputs_off))]
            if part.inputs_off
            else []
        )
        sent = [
            _("MIDI to {name}: {text}").format(name=each.name, text=each.text)
            for each in part.messages
        ]
        if words := [*scenes, *sent, *without]:
            said.append(leading(name_at(part.rig, who), apart(words)))
    return ". ".join(said)


def _desk_row(line: SetLine) -> list[str]:
    tempo = line.song.tempo_bpm if line.song is not None else None
    marks = ((_("cut"), line.cut), (_("reprise"), line.reprise), (_("straight on"), line.joined))
    notes = [*(word for word, is_so in marks if is_so), *([line.note] if line.note else [])]
    return [
        str(line.number or ""),
        line.name,
        format_duration(line.seconds) or ("?" if line.is_played else ""),
        f"{plain(tempo)} bpm" if tempo is not None else "",
        format_duration(line.gap_s),
        each_of(notes),
    ]
