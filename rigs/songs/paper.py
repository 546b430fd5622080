"""The run sheet on paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.durations import format_duration
from core.languages.dates import day
from core.languages.words import apart, each_of, leading
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

TAKES_UP = {
    "change": gettext_lazy("Change to: {instrument}"),
    "retune": gettext_lazy("Retune to: {instrument}"),
}
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
    captions = [
        *(who.sentences if who else []),
        *(_("tonight {line}").format(line=line) for line in gear),
    ]
    times = (
        _("Changing the instrument {change}, retuning one string {string}.")
        if sheet.stated
        else _(
            "Changing the instrument {change}, retuning one string {string} (common practice, no "
            "source)."
        )
    )
    data = {
        "title": title,
        "paper": paper,
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(production),
        "songs": songs,
        "after": [between_words(each) for each in sheet.after],
        "captions": f"{apart(captions)}." if captions else "",
        "times": times.format(
            change=format_duration(sheet.times.change), string=format_duration(sheet.times.string)
        ),
    }
    return press("run.typ", data, pictures=pictures)


def _song(row: RunSong, pictures: dict[str, bytes], who: WhoPlays | None) -> dict[str, Any]:
    parts = [_part(part, f"{row.number}-{n}", pictures, who) for n, part in enumerate(row.parts)]
    line = row.line
    more = [
        *([_("reprise")] if line.reprise else []),
        *([_("straight on from the song before")] if line.joined else []),
        *([line.note] if line.note else []),
    ]
    return {
        "title": f"{row.number}  {row.song}",
        "before": [between_words(each) for each in row.before],
        "note": each_of(more),
        "length": format_duration(line.seconds) or _("length not known"),
        "parts": parts,
        "records": [_record(each) for each in row.records],
        "gap": "" if row.is_last else _gap(line),
        "moves": [line for rig, move in row.moves for line in _move(name_at(rig, who), move)],
    }


def _gap(line: SetLine) -> str:
    gap = format_duration(line.gap_s)
    return _("Gap {gap}").format(gap=gap) if gap else _("Gap not known")


def between_words(line: SetLine) -> str:
    """A cut, or what stands between songs, in one line."""
    length = format_duration(line.length_s)
    said = each_of((line.name, "" if line.is_song else length, line.note))
    return _("Cut: {said}").format(said=said) if line.is_song else said


def _record(record: Record) -> dict[str, Any]:
    paragraphs = []
    for each in record.heard:
        signed = _("not signed")
        if each.words.at:
            signed = _("signed by {name}, {day}").format(name=each.words.by, day=day(each.words.at))
        rig = f" ({each.rig})" if len(record.heard) > 1 else ""
        paragraphs.append([f"“{each.words.text}”", f"{signed}{rig}"])
    if record.player and not paragraphs:
        paragraphs.append(["", _("nothing is written down yet")])
    return {
        "who": str(record.player or _("For everybody")),
        "entries": [
            [
                each_of((entry.recording, entry.place)),
                _("The record: {does}").format(does=entry.does) if entry.does else "",
                _("To take from it: {take}").format(take=entry.take),
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
        "alt": _("Controls drawn at their settings; the same in words beside them"),
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
    by_hand = [_by_hand(each) for each in part.controls]
    return [*(_takes(part) if part.takes_up else []), *scenes, *by_hand, *_more(part)]


def _by_hand(each: RunControl) -> str:
    text = each.control.text or _("not set")
    said = f"{each.unit_name} {each.control.name} {text}"
    return _("{setting} as usual again").format(setting=said) if each.usual else said


def _lines(part: RunPart) -> list[str]:
    return [*_takes(part), *(_scene(each) for each in part.scenes), *_more(part)]


def _takes(part: RunPart) -> list[str]:
    if not part.instrument:
        return []
    to = each_of((part.instrument, part.tuning))
    said = TAKES_UP.get(part.takes_up)
    return [said.format(instrument=to) if said else to]


def _more(part: RunPart) -> list[str]:
    lines = [
        _("MIDI to {name}: {text}").format(name=each.name, text=each.text) for each in part.messages
    ]
    if part.inputs_off:
        lines.append(_("Not used: {inputs_off}").format(inputs_off=each_of(part.inputs_off)))
    if part.inputs_on:
        lines.append(_("Used again: {inputs_on}").format(inputs_on=each_of(part.inputs_on)))
    return [*lines, *(_cue(cue) for cue in part.cues)]


def _scene(each: RunScene) -> str:
    """One press with what it sets: “Press 2 Echo on Foot controller: Echo in, Time 620 ms”."""
    if each.scene is None:
        return _("Leave scene {was} on {unit_name}: no scene is named").format(
            was=each.was, unit_name=each.unit_name
        )
    if not each.pressed:
        said = _("Stays in scene {scene} on {unit}")
    elif each.scene.sets:
        said = _("Press {scene} on {unit}: {sets}")
    else:
        said = _("Press {scene} on {unit}")
    return said.format(scene=each.scene.label, unit=each.unit_name, sets=each.scene.line)


def _cue(cue: DifferenceView) -> str:
    moment = each_of((format_duration(cue.at_s), cue.section))
    return (
        _("Cue: {moment}: {text}").format(moment=moment, text=cue.text)
        if moment
        else _("Cue: {text}").format(text=cue.text)
    )


def _control(each: RunControl) -> list[str]:
    control = each.control
    how = dials.earlier(control) if control.changed else _("stays")
    if each.usual:
        how = _("{earlier}, as usual again").format(earlier=how)
    return [f"{each.unit_name}, {control.name}", control.text or _("not set"), how]


def _move(player: str, move: Move) -> list[dict[str, Any]]:
    rows = [
        {
            "words": f"{leading(player, need_words(need))}.",
            "state": str(STATES[need.fit]),
            "short": need.fit == Fit.SHORT,
        }
        for need in move.needs
    ]
    out = way_out(move)
    return [*rows, {"words": out, "state": "", "short": False}] if out else rows
