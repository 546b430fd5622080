"""The run sheet on paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from core import clock
from core.durations import format_duration
from core.models import Production
from rigs.checks.between_songs import Fit, Move
from rigs.checks.between_words import STATES, need_words, way_out
from rigs.drawing import dials
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at
from rigs.songs.records import Record
from rigs.songs.run_sheet import RunControl, RunPart, RunSheet, RunSong
from rigs.wording import DifferenceView, UnitView

NOT_KNOWN = "not known"
PER_ROW, ROWS = 3, 3  # drawn controls: what goes into one picture


def sheet_of_run(
    sheet: RunSheet,
    production: Production,
    title: str,
    *,
    paper: Paper,
    captions: Sequence[str] = (),
) -> bytes:
    """The set in order with what each rig needs, as PDF. `captions`: which rigs play otherwise than
    usual."""
    pictures: dict[str, bytes] = {}
    songs = [_song(row, pictures) for row in sheet.songs]
    assumed = "" if sheet.stated else " (common practice, no source)"
    data = {
        "title": title,
        "paper": paper,
        "stamp": f"printed {printed_at(clock.now())}",
        "place": str(production),
        "songs": songs,
        "captions": f"{'; '.join(captions)}." if captions else "",
        "times": f"Changing the instrument {format_duration(sheet.times.change)}, retuning one "
        f"string {format_duration(sheet.times.string)}{assumed}.",
    }
    return press("run.typ", data, pictures=pictures)


def _song(row: RunSong, pictures: dict[str, bytes]) -> dict[str, Any]:
    parts = [_part(part, f"{row.number}-{n}", pictures) for n, part in enumerate(row.parts)]
    return {
        "title": f"{row.number}  {row.song}",
        "length": format_duration(row.song.length_s) or f"length {NOT_KNOWN}",
        "parts": parts,
        "records": [_record(each) for each in row.records],
        "gap": "" if row.is_last else f"Gap {format_duration(row.song.gap_s) or NOT_KNOWN}",
        "moves": [line for rig, move in row.moves for line in _move(f"{rig.player}", move)],
    }


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


def _part(part: RunPart, number: str, pictures: dict[str, bytes]) -> dict[str, Any]:
    return {
        "rig": f"{part.rig.player}, {part.rig}",
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


def _lines(part: RunPart) -> list[str]:
    lines = []
    if part.instrument:
        change = f"{part.takes_up.capitalize()} to: " if part.takes_up else ""
        lines.append(change + ", ".join(text for text in (part.instrument, part.tuning) if text))
    if part.inputs_off:
        lines.append(f"Not used: {', '.join(part.inputs_off)}")
    if part.inputs_on:
        lines.append(f"Used again: {', '.join(part.inputs_on)}")
    return [*lines, *(_cue(cue) for cue in part.cues)]


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
            "state": STATES[need.fit],
            "short": need.fit == Fit.SHORT,
        }
        for need in move.needs
    ]
    out = way_out(move)
    return [*rows, {"words": out, "state": "", "short": False}] if out else rows
