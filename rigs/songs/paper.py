"""The run sheet on paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from core import clock
from core.durations import format_duration
from core.models import Production
from core.sets.order import SetLine
from rigs.checks.between_songs import Fit, Move
from rigs.checks.between_words import STATES, need_words, way_out
from rigs.drawing import dials
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at
from rigs.shows.players import WhoPlays, name_at
from rigs.songs.presses import RunControl, RunScene
from rigs.songs.records import Record
from rigs.songs.run_sheet import RunPart, RunSheet, RunSong
from rigs.wording import DifferenceView, UnitView

NOT_KNOWN = "not known"
PER_ROW, ROWS = 3, 3  # drawn controls: what goes into one picture


def sheet_of_run(
    sheet: RunSheet,
    production: Production,
    title: str,
    *,
    paper: Paper,
    who: WhoPlays | None = None,
    gear: Sequence[str] = (),
) -> bytes:
    """The set in order with what each rig needs, as PDF. `who` plays, where a show is
    meant, and `gear` says which units differ there."""
    pictures: dict[str, bytes] = {}
    songs = [_song(row, pictures, who) for row in sheet.songs]
    captions = [*(who.sentences if who else []), *(f"tonight {line}" for line in gear)]
    assumed = "" if sheet.stated else " (common practice, no source)"
    data = {
        "title": title,
        "paper": paper,
        "stamp": f"printed {printed_at(clock.now())}",
        "place": str(production),
        "songs": songs,
        "after": [between_words(each) for each in sheet.after],
        "captions": f"{'; '.join(captions)}." if captions else "",
        "times": f"Changing the instrument {format_duration(sheet.times.change)}, retuning one "
        f"string {format_duration(sheet.times.string)}{assumed}.",
    }
    return press("run.typ", data, pictures=pictures)


def _song(row: RunSong, pictures: dict[str, bytes], who: WhoPlays | None) -> dict[str, Any]:
    parts = [_part(part, f"{row.number}-{n}", pictures, who) for n, part in enumerate(row.parts)]
    line = row.line
    more = [
        *(["reprise"] if line.reprise else []),
        *(["straight on from the song before"] if line.joined else []),
        *([line.note] if line.note else []),
    ]
    return {
        "title": f"{row.number}  {row.song}",
        "before": [between_words(each) for each in row.before],
        "note": ", ".join(more),
        "length": format_duration(line.seconds) or f"length {NOT_KNOWN}",
        "parts": parts,
        "records": [_record(each) for each in row.records],
        "gap": "" if row.is_last else f"Gap {format_duration(line.gap_s) or NOT_KNOWN}",
        "moves": [line for rig, move in row.moves for line in _move(name_at(rig, who), move)],
    }


def between_words(line: SetLine) -> str:
    """A cut, or what stands between songs, in one line."""
    length = format_duration(line.length_s)
    said = ", ".join(
        text for text in (line.name, "" if line.is_song else length, line.note) if text
    )
    return f"Cut: {said}" if line.is_song else said


def _record(record: Record) -> dict[str, Any]:
    paragraphs = []
    for each in record.heard:
        signed = (
            f"signed by {each.words.by}, {each.words.at:%d %b %Y}"
            if each.words.at
            else ("not signed")
        )
        rig = f" ({each.rig})" if len(record.heard) > 1 else ""
        paragraphs.append([f"“{each.words.text}”", f"{signed}{rig}"])
    if record.player and not paragraphs:
        paragraphs.append(["", "nothing is written down yet"])
    return {
        "who": str(record.player or "For everybody"),
        "entries": [
            [
                ", ".join(text for text in (entry.recording, entry.place) if text),
                f"The record: {entry.does}" if entry.does else "",
                f"To take from it: {entry.take}",
            ]
            for entry in record.entries
        ],
        "words": paragraphs,
    }


def _part(
    part: RunPart, number: str, pictures: dict[str, bytes], who: WhoPlays | None
) -> dict[str, Any]:
    return {
        "rig": f"{name_at(part.rig, who)}, {part.rig}",
        "lines": _lines(part),
        "drawings": list(_drawings(part, number, pictures)),
        "alt": "Controls drawn at their settings; the same in words beside them",
    }


def _drawings(part: RunPart, number: str, pictures: dict[str, bytes]) -> Iterator[dict[str, Any]]:
    """Pictures of controls with their words, each with as many as fit a page."""
    for at in range(0, len(part.controls), PER_ROW * ROWS):
        page = part.controls[at : at + PER_ROW * ROWS]
        unit = UnitView(
            "", str(part.rig), "", "", "", "", controls=tuple(each.control for each in page)
        )
        name = f"dials{number}-{at}.svg"
        # Drawings go as files beside the data: Typst draws SVG from a file of its root.
        pictures[name] = dials.row(unit, per_row=PER_ROW).encode()
        yield {
            "file": name,
            "wide": min(PER_ROW, len(page)),
            "controls": [_control(each) for each in page],
        }


def part_words(part: RunPart) -> list[str]:
    """All that a rig has to do in a song, in words; an instrument that is held already is left out,
    as is a scene that it stands in already."""
    scenes = [_scene(each) for each in part.scenes if each.has_work]
    by_hand = [
        f"{each.unit_name} {each.control.name} {each.control.text or 'not set'}"
        f"{' as usual again' if each.usual else ''}"
        for each in part.controls
    ]
    return [*(_takes(part) if part.takes_up else []), *scenes, *by_hand, *_more(part)]


def _lines(part: RunPart) -> list[str]:
    return [*_takes(part), *(_scene(each) for each in part.scenes), *_more(part)]


def _takes(part: RunPart) -> list[str]:
    if not part.instrument:
        return []
    change = f"{part.takes_up.capitalize()} to: " if part.takes_up else ""
    return [change + ", ".join(text for text in (part.instrument, part.tuning) if text)]


def _more(part: RunPart) -> list[str]:
    lines = [f"MIDI to {each.name}: {each.text}" for each in part.messages]
    if part.inputs_off:
        lines.append(f"Not used: {', '.join(part.inputs_off)}")
    if part.inputs_on:
        lines.append(f"Used again: {', '.join(part.inputs_on)}")
    return [*lines, *(_cue(cue) for cue in part.cues)]


def _scene(each: RunScene) -> str:
    """One press with what it sets: “Press 2 Echo on Foot controller: Echo in, Time 620 ms”."""
    if each.scene is None:
        return f"Leave scene {each.was} on {each.unit_name}: no scene is named"
    does = "Press" if each.pressed else "Stays in scene"
    line = f"{does} {each.scene.label} on {each.unit_name}"
    return f"{line}: {each.scene.line}" if each.pressed and each.scene.sets else line


def _cue(cue: DifferenceView) -> str:
    moment = ", ".join(text for text in (format_duration(cue.at_s), cue.section) if text)
    return f"Cue: {moment}: {cue.text}" if moment else f"Cue: {cue.text}"


def _control(each: RunControl) -> list[str]:
    control = each.control
    how = dials.earlier(control) if control.changed else "stays"
    if each.usual:
        how += ", as usual again"
    return [f"{each.unit_name}, {control.name}", control.text or "not set", how]


def _move(player: str, move: Move) -> list[dict[str, Any]]:
    rows = [
        {
            "words": f"{player}: {need_words(need)}.",
            "state": str(STATES[need.fit]),
            "short": need.fit == Fit.SHORT,
        }
        for need in move.needs
    ]
    out = way_out(move)
    return [*rows, {"words": out, "state": "", "short": False}] if out else rows
