"""Where everything stands: the stage, two sizes of it, risers, drops of mains, places by numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from core.models import Player
from core.units import parse_length
from notes.demo.apply import apply
from notes.demo.cast import TECH
from notes.demo.stage import DemoStage
from notes.demo.story import HESTIA, IVO, MAUD, NOOR, OLU, PIET, SANNA, THESSA, WIM, at
from rigs.models import MainsDrop, Riser, StageSize
from rigs.plot.carried import Moved
from rigs.plot.facing import read_facing
from rigs.plot.load import plot_of
from rigs.plot.services import move, save_drop, save_riser, save_stage
from rigs.plot.things import Spot, Thing


@dataclass(frozen=True)
class Sized:
    """How large the stage is, in metres: of all shows, or of the show in `room`."""

    when: datetime
    width: str
    depth: str
    words: str = ""
    room: str = ""


@dataclass(frozen=True)
class Raised:
    """A riser: metres across, deep and high; to stage right of the centre line, and upstage."""

    when: datetime
    name: str
    size: tuple[str, str, str]
    place: tuple[str, str]
    player: str


@dataclass(frozen=True)
class Powered:
    """A drop of mains, by the name that units have as their circuit."""

    when: datetime
    name: str
    amps: str
    place: tuple[str, str]
    where: str
    supply: str


@dataclass(frozen=True)
class Stood:
    """Places, in metres, by the name of the thing and, where several are called so, whose it is; of
    all shows, or of the show in `room`."""

    when: datetime
    places: tuple[tuple[str, str, str, str], ...]
    room: str = ""


@dataclass(frozen=True)
class Faced:
    """Which way things face that stand on the stage, by name and whose they are."""

    when: datetime
    facing: tuple[tuple[str, str, str], ...]


EVENTS: tuple[Sized | Raised | Powered | Stood | Faced, ...] = (
    Sized(at(11, 20, 16), "10", "8", "Fits most halls of the winter."),
    Raised(at(11, 20, 16, 5), "Drum riser", ("2.5", "2", "0.4"), ("0", "6"), MAUD),
    Raised(at(11, 20, 16, 6), "Bass riser", ("2", "1.5", "0.2"), ("-3.4", "5.4"), IVO),
    Raised(at(11, 20, 16, 7), "Keys riser", ("3", "1.5", "0.2"), ("3.2", "5"), HESTIA),
    Powered(
        at(11, 20, 16, 10),
        "Backline",
        "16",
        ("-4.4", "6.4"),
        "upstage, stage left, behind the bass riser",
        "Six sockets, away from lighting and motors.",
    ),
    Powered(
        at(11, 20, 16, 12),
        "Keys",
        "10",
        ("4.5", "6"),
        "upstage, stage right, behind the keys riser",
        "Four sockets.",
    ),
    Stood(
        at(11, 20, 16, 20),
        (
            ("Snare", "", "0.1", "5.7"),
            ("Valve head", "", "-3.9", "5.9"),
            ("Cabinet 1 × 15", "", "-3.1", "5.9"),
            ("Combo", SANNA, "-3.4", "3.6"),
            ("Combo", PIET, "3.4", "3.3"),
            ("Two-manual organ", "", "2.4", "4.8"),
            ("Electric piano", "", "3.8", "4.8"),
            ("Rotary cabinet", "", "4.5", "5.3"),
            ("Stage box A (A)", "", "-1.7", "6.2"),
            ("Stage box B (B)", "", "4.4", "0.6"),
            ("Drum snake (D)", "", "-1.1", "6.7"),
            ("Drum fill", "", "-1.5", "5.2"),
            ("Wedge Ivo", "", "-2.6", "3.9"),
            (MAUD, "", "0", "6.4"),
            (IVO, "", "-2.7", "5"),
            (SANNA, "", "-3", "2.4"),
            (PIET, "", "3", "2.1"),
            (HESTIA, "", "3", "5.4"),
            (OLU, "", "1.5", "3.6"),
            (WIM, "", "2.4", "3.2"),
            (NOOR, "", "0", "1.2"),
            (THESSA, "", "-1.5", "1.5"),
        ),
    ),
    Faced(
        at(11, 20, 16, 30),
        (
            ("Valve head", "", "downstage"),
            ("Cabinet 1 × 15", "", "downstage"),
            ("Combo", SANNA, "30° stage right"),
            ("Combo", PIET, "30° stage left"),
            ("Rotary cabinet", "", "stage left"),
            ("Drum fill", "", "upstage right"),
            ("Wedge Ivo", "", "upstage"),
        ),
    ),
    Sized(at(11, 24, 16, 20), "8.5", "7", "Steps at stage right.", room="Winter Garden"),
    # The keys stand further in on the smaller stage, and what is on their riser with them.
    Stood(at(11, 24, 16, 25), (("Keys riser", "", "2.6", "4.7"),), room="Winter Garden"),
)


@apply.register
def _(event: Sized, stage: DemoStage) -> None:
    size = StageSize(
        production=stage.production,
        show=stage.shows[event.room] if event.room else None,
        width_m=event.width,
        depth_m=event.depth,
        words=event.words,
    )
    save_stage(size, by=stage.people[TECH])


@apply.register
def _(event: Raised, stage: DemoStage) -> None:
    width, depth, height = event.size
    riser = Riser(
        production=stage.production,
        name=event.name,
        width_m=width,
        depth_m=depth,
        height_m=height,
        right_m=event.place[0],
        up_m=event.place[1],
        player=Player.objects.get(production=stage.production, name=event.player),
    )
    save_riser(riser, by=stage.people[TECH])


@apply.register
def _(event: Powered, stage: DemoStage) -> None:
    drop = MainsDrop(
        production=stage.production,
        name=event.name,
        place=event.where,
        volts="230",
        hertz="50",
        amps=event.amps,
        supply=event.supply,
        right_m=event.place[0],
        up_m=event.place[1],
    )
    save_drop(drop, by=stage.people[TECH])


@apply.register
def _(event: Stood, stage: DemoStage) -> None:
    show = stage.shows[event.room] if event.room else None
    things, moved = plot_of(stage.production).movable, []
    for name, whose, right, up in event.places:
        thing = _thing(things, name, whose)
        spot = Spot(parse_length(right, "m"), parse_length(up, "m"))
        moved.append(Moved(thing.key, thing.name, spot))
    move(stage.production, moved, by=stage.people[TECH], show=show)


@apply.register
def _(event: Faced, stage: DemoStage) -> None:
    things, moved = plot_of(stage.production).movable, []
    for name, whose, direction in event.facing:
        thing = _thing(things, name, whose)
        faces = read_facing(direction)
        moved.append(Moved(thing.key, thing.name, thing.spot, turns=True, faces=faces))
    move(stage.production, moved, by=stage.people[TECH])


def _thing(things: Sequence[Thing], name: str, whose: str) -> Thing:
    (thing,) = (each for each in things if each.name == name and (not whose or each.whose == whose))
    return thing
