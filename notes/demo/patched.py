"""The boxes that travel, the ways of the inputs, and what a support act is lent at one show."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from notes.demo.apply import apply
from notes.demo.cast import TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchRun
from rigs.patch.forms import FillForm
from rigs.patch.rows import patch_and_rows
from rigs.patch.services import add_run, save_box, save_box_at, save_lent


@dataclass(frozen=True)
class Boxed:
    """A box; `into` is the mark of the one its ways are plugged into, from way 1 on."""

    when: datetime
    mark: str
    name: str
    ways: int
    values: dict[str, Any] = field(default_factory=dict)
    into: str = ""


@dataclass(frozen=True)
class Patched:
    """Ways of inputs, for all shows, as lines of the page."""

    when: datetime
    lines: str


@dataclass(frozen=True)
class Lent:
    """Ways that another act takes at the show in `room`."""

    when: datetime
    room: str
    act: str
    what: str
    mark: str
    first: int
    count: int
    words: str


@dataclass(frozen=True)
class OtherBox:
    """What stands in the place of a box at the show in `room`."""

    when: datetime
    room: str
    mark: str
    values: dict[str, Any]


EVENTS: tuple[Boxed | Patched | Lent | OtherBox, ...] = (
    Boxed(
        at(11, 20, 10),
        "A",
        "Stage box A",
        16,
        {"place": "upstage, stage left of the drum riser", "split": "passive"},
    ),
    Boxed(at(11, 20, 10, 5), "B", "Stage box B", 16, {"place": "downstage, stage right"}),
    Boxed(
        at(11, 20, 10, 10),
        "D",
        "Drum snake",
        8,
        {"kind": "snake", "place": "on the drum riser", "to_desk": False},
        into="A",
    ),
    # Percussion, 21, has no way yet: a finding shows it.
    Patched(
        at(11, 20, 10, 20),
        "1–6 → D 1, monitor 1, phantom from foh\n"
        "7–12 → A 9, monitor 7, phantom from foh\n"
        "13–20 → B 1, monitor 13\n"
        "23–25 → B 13, monitor 23",
    ),
    Lent(
        at(11, 24, 16, 30),
        "Winter Garden",
        "The Kestrel Lamps",
        "four voice lines",
        "B",
        9,
        4,
        "They bring microphones and leave at the changeover.",
    ),
    OtherBox(
        at(11, 24, 16, 40),
        "Tithe Theatre",
        "D",
        {"name": "House snake", "ways": 12, "words": "Theirs is on the riser already."},
    ),
)


@apply.register
def _(event: Boxed, stage: DemoStage) -> None:
    tech, production = stage.people[TECH], stage.production
    box = PatchBox(
        production=production,
        mark=event.mark,
        name=event.name,
        ways=event.ways,
        **event.values,
    )
    save_box(box, by=tech)
    if event.into:
        target = PatchBox.objects.get(production=production, mark=event.into)
        add_run(PatchRun(source=box, target=target, count=event.ways), by=tech)


@apply.register
def _(event: Patched, stage: DemoStage) -> None:
    form = FillForm(*patch_and_rows(stage.production), {"lines": event.lines})
    if form.try_save(stage.people[TECH]) is None:
        raise ValueError(f"The patch: {form.errors.as_json()}")


@apply.register
def _(event: OtherBox, stage: DemoStage) -> None:
    box = PatchBox.objects.get(production=stage.production, mark=event.mark)
    layer = PatchBoxAtShow(show=stage.shows[event.room], box=box, **event.values)
    save_box_at(layer, by=stage.people[TECH])


@apply.register
def _(event: Lent, stage: DemoStage) -> None:
    lent = LentLine(
        show=stage.shows[event.room],
        act=event.act,
        what=event.what,
        box=PatchBox.objects.get(production=stage.production, mark=event.mark),
        first=event.first,
        count=event.count,
        words=event.words,
    )
    save_lent(lent, by=stage.people[TECH])
