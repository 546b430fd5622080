"""What differed at single shows: a microphone in repair, a table without room, what was hired, a
rig that stayed in the truck."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from notes.demo.apply import apply, input_of
from notes.demo.cast import MANAGER, NEW_ENGINEER, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.checks.acceptance import acknowledge_at
from rigs.checks.run import stage_findings
from rigs.models import ShowHire
from rigs.shows.forms import HireForm
from rigs.shows.players import set_dep
from rigs.shows.rigs import choose, rigs_at
from rigs.shows.services import differ, doubtful_with, row_of
from rigs.shows.stage import stage_of


@dataclass(frozen=True)
class Differed:
    """One input at the show in `room`; `device` by its name."""

    when: datetime
    room: str
    rig: str
    input: str
    why: str = ""
    words: str = ""
    device: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    by: str = TECH


@dataclass(frozen=True)
class Hired:
    """Part of the pack list, hired at the show in `room`."""

    when: datetime
    room: str
    section: str
    what: str
    count: int
    from_whom: str
    words: str = ""
    by: str = MANAGER


@dataclass(frozen=True)
class Played:
    """At the show in `room` one rig is played in place of another, or besides, by name."""

    when: datetime
    room: str
    rig: str
    instead_of: str = ""
    by: str = TECH


@dataclass(frozen=True)
class Depped:
    """At the show in `room` somebody plays for a player."""

    when: datetime
    room: str
    player: str
    name: str
    differs: str
    by: str = MANAGER


@dataclass(frozen=True)
class Accepted:
    """What the check of that key finds at the show in `room` is accepted as it stands."""

    when: datetime
    room: str
    rule: str
    words: str
    by: str = NEW_ENGINEER


EVENTS: tuple[Differed | Hired | Played | Depped | Accepted, ...] = (
    Differed(
        at(10, 10, 15),
        "The Sallow Barn",
        "Second voice and percussion",
        "Percussion",
        "room",
        "No floor for the table beside the riser; Thessa plays tambourine at her voice microphone.",
        values={"absent": True},
    ),
    Differed(
        at(11, 24, 15),
        "Civic Hall",
        "Tenor saxophone",
        "Tenor sax",
        "hire",
        "Our Selvage C is at the bench until Port Senner; the house lends what it has.",
        "Thimble",
        {"hired_locally": True, "stand": "tall boom"},
    ),
    Differed(
        at(11, 24, 15, 5),
        "Civic Hall",
        "Second voice and percussion",
        "Percussion",
        "room",
        "Fly bars hang low over the riser: the table stays in the truck.",
        values={"absent": True},
    ),
    Differed(
        at(11, 24, 15, 10),
        "Civic Hall",
        "Lead voice",
        "Noor",
        values={"gain_db": 21},
        by=NEW_ENGINEER,
    ),
    Hired(
        at(11, 24, 16),
        "Civic Hall",
        "stands",
        "tall boom",
        2,
        "the house",
        "Asked for with the fly bars in mind; theirs have round bases.",
    ),
    Hired(
        at(11, 24, 16, 5),
        "Winter Garden",
        "units",
        "Electric piano, weighted keys",
        1,
        "a piano shop in Port Senner",
        "In case ours does not survive the ferry; arrives at two.",
    ),
    Played(at(11, 24, 16, 10), "Winter Garden", "Bass fly rig", "Bass main"),
    Played(at(11, 24, 16, 12), "Tithe Theatre", "Guest fiddle"),
    Depped(
        at(11, 24, 16, 15),
        "Assembly Rooms",
        "Olu Bexwith",
        "Runa Feld",
        "Own trumpet; organ loudest in the wedge.",
    ),
    Accepted(
        at(11, 24, 16, 20),
        "Winter Garden",
        "devices_owned",
        "The promoter sends one with the risers; it is noted as a hire once it is there.",
    ),
)


@apply.register
def _(event: Depped, stage: DemoStage) -> None:
    show, player = stage.shows[event.room], stage.players[event.player]
    by = stage.people[event.by]
    set_dep(show, player, name=event.name, differs=event.differs, version=0, by=by)


@apply.register
def _(event: Differed, stage: DemoStage) -> None:
    values: dict[str, Any] = {"why": event.why, "words": event.words, **event.values}
    entry = input_of(stage, event.rig, event.input)
    if event.device:
        values["device"] = stage.devices[event.device]
        day = row_of(stage.shows[event.room], entry)
        for swap in doubtful_with(day, values["device"]):
            # What the story says stands; only what it leaves open is taken from the proposal.
            values = swap.safe | values
    differ(stage.shows[event.room], entry, by=stage.people[event.by], **values)


@apply.register
def _(event: Hired, stage: DemoStage) -> None:
    hire = ShowHire(show=stage.shows[event.room])
    values = {
        "section": event.section,
        "what": event.what,
        "count": event.count,
        "from_whom": event.from_whom,
        "words": event.words,
    }
    form = HireForm(values, instance=hire, by=stage.people[event.by])
    if not form.try_save():
        raise ValueError(f"{event.what}: {form.errors.as_json()}")


@apply.register
def _(event: Accepted, stage: DemoStage) -> None:
    show = stage.shows[event.room]
    found = stage_findings(stage_of(show))
    acknowledge_at(
        show=show,
        found=lambda: found,
        signature=next(each.signature for each in found if each.rule == event.rule),
        words=event.words,
        user=stage.people[event.by],
    )


@apply.register
def _(event: Played, stage: DemoStage) -> None:
    show = stage.shows[event.room]
    shown = {each.rig.pk: each.plays for each in rigs_at(show)}
    ids = {each.rig.name: each.rig.pk for each in rigs_at(show)}
    playing = {rig for rig, plays in shown.items() if plays}
    playing = playing - {ids.get(event.instead_of)} | {ids[event.rig]}
    choose(show, shown=shown, playing=playing, by=stage.people[event.by])
