"""What was other about units at single shows: a hired bass head, tried once before, and a radio."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from notes.demo.apply import apply
from notes.demo.cast import TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.models import Unit
from rigs.tonight.services import Dial, how_it_did, say


@dataclass(frozen=True)
class Tonight:
    """A unit of a rig, at the show in `room`; `values` are those of `say`, `dials` what came with
    name and setting. `fared` is how it did, with words."""

    when: datetime
    room: str
    rig: str
    unit: str
    what: str
    values: dict[str, Any] = field(default_factory=dict)
    dials: tuple[tuple[str, str], ...] = ()
    lasts: str = "show"
    fared: tuple[str, str] = ("", "")
    by: str = TECH


_HEAD = {"gear": "head", "maker": "Fennimor", "model": "Quarry 300", "why": "hire"}
_DIALS = ("Drive", "Low", "Low mid", "High mid", "High", "Volume")

EVENTS = (
    Tonight(
        at(10, 10, 14),
        "The Sallow Barn",
        "Bass main",
        "Valve head",
        "replaced",
        _HEAD | {"from_whom": "the house", "words": "Ours blew its fuse twice at load-in."},
        tuple(zip(_DIALS, ("11:00", "1:00", "12:00", "10:00", "9:00", "1:00"), strict=True)),
        fared=("ok", "Warm enough with High at 9:00; mind the Drive above noon."),
    ),
    Tonight(
        at(11, 24, 15, 20),
        "Civic Hall",
        "Bass main",
        "Valve head",
        "replaced",
        _HEAD | {"from_whom": "Kestrow Backline", "words": "Ours is at the bench."},
        tuple(zip(_DIALS, ("10:30", "1:30", "12:00", "10:00", "9:00", "12:30"), strict=True)),
    ),
    Tonight(
        at(11, 24, 15, 25),
        "Civic Hall",
        "Lead voice",
        "Hand-held receiver",
        "set",
        {"radio": "G3 ch 4, 606.500", "pack": "2", "why": "room", "words": "Local plan."},
        lasts="leg",
    ),
)


@apply.register
def _(event: Tonight, stage: DemoStage) -> None:
    rig, by = stage.rigs[event.rig], stage.people[event.by]
    row = say(
        stage.shows[event.room],
        Unit.objects.select_related("rig").get(rig=rig, name=event.unit),
        by=by,
        what=event.what,
        lasts=event.lasts,
        dials=[Dial(setting, name=name) for name, setting in event.dials],
        **event.values,
    )
    fared, words = event.fared
    if row is not None and fared:
        how_it_did(row, by=by, fared=fared, words=words)
