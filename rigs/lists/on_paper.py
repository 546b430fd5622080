"""The input list for paper: what belongs together shares a column, so that a line fits a page."""

from __future__ import annotations

from collections.abc import Sequence

from core.units import format_length
from rigs.cautions import RIBBON, in_words
from rigs.describing.placement import placement_words
from rigs.lists.columns import show
from rigs.lists.of_day import DayInput
from rigs.models import Input


def cautions_of(inputs: Sequence[Input]) -> list[str]:
    """What to mind about the microphones of a list, each with its channels."""
    ribbons = [entry for entry in inputs if entry.device and entry.device.principle == "ribbon"]
    if not ribbons:
        return []
    return in_words([(RIBBON.text, [str(entry) for entry in ribbons])])


_HEAD = [
    "Ch",
    "Name",
    "Player",
    "Microphone or DI",
    "Stand, box",
    "Phantom",
    "Pad, gain",
    "Filters",
]


def paper_rows(inputs: Sequence[Input]) -> list[list[str]]:
    """The list of all shows, with where each microphone stands."""
    head = [*_HEAD, "Pan", "Where it stands", "Notes"]
    return [
        head,
        *(
            [
                *_shared(e),
                show("pan", e),
                placement_words(e.fields(), lengths=format_length),
                e.notes,
            ]
            for e in inputs
        ),
    ]


def day_paper_rows(rows: Sequence[DayInput]) -> list[list[str]]:
    """The list of one show; the last column says in words what differs, and why."""
    return [[*_HEAD, "That day"], *([*_shared(row.entry), _that_day(row)] for row in rows)]


def _shared(entry: Input) -> list[str]:
    return [
        show("number", entry),
        entry.name,
        show("player", entry),
        show("device", entry),
        _joined(entry.stand, entry.stage_position),
        "on" if entry.phantom else "",
        _joined(_with(entry, "pad_db", "dB"), _with(entry, "gain_db", "dB")),
        _joined(
            _with(entry, "high_pass_hz", "Hz", "from "), _with(entry, "low_pass_hz", "Hz", "to ")
        ),
    ]


def _with(entry: Input, key: str, unit: str, lead: str = "") -> str:
    cell = show(key, entry).replace("-", "−")
    return f"{lead}{cell} {unit}" if cell else ""


def _that_day(row: DayInput) -> str:
    if row.difference is None:
        return ""
    told = [f"{d.heading}: {d.old or 'nothing'} → {d.new or 'nothing'}" for d in row.differs]
    said = ["NOT USED" if row.absent else "", "hired locally" if row.hired_locally else "", *told]
    return ". ".join(part for part in (*said, row.why) if part)


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
