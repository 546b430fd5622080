"""The stage of one show laid out for the rules: the rigs that play, beside each other. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from rigs.checks.between_songs import ASSUMED, ChangeSeconds, Move
from rigs.radio import OnAir


@dataclass(frozen=True, slots=True)
class StageRig:
    """A rig that plays at the show. `player` is the id of its player."""

    id: str
    name: str
    player: str
    player_name: str


@dataclass(frozen=True, slots=True)
class StageDevice:
    """A microphone or DI of the catalogue. `owned` is None where nobody has stated it.

    `hired` are those that are noted among the hires of the show.
    """

    id: str
    name: str
    owned: int | None = None
    hired: int = 0


class Way(NamedTuple):
    """One way of a box of the patch, by the id of the box."""

    box: str
    number: int


@dataclass(frozen=True, slots=True)
class StageLine:
    """Where the line of an input runs: the ways it passes, the one it is plugged into first.

    `names` are those ways in words (“A 12”). It `lands` where the last goes to the desk. `split` is
    one of rigs.models.patch.Split, `direct` the side of the split without a transformer,
    `phantom_from` what gives phantom power; each is empty where nobody has stated it. `lent` names
    the acts that take one of its ways for themselves that day.
    """

    passed: tuple[Way, ...] = ()
    names: tuple[str, ...] = ()
    lands: bool = False
    circle: bool = False
    monitor_channel: int | None = None
    split: str = ""
    direct: str = ""
    phantom_from: str = ""
    place: str = ""
    lent: tuple[str, ...] = ()

    @property
    def way(self) -> str:
        """The way that the microphone is plugged into; empty where it has none."""
        return self.names[0] if self.names else ""

    @property
    def path(self) -> str:
        """“D 1 → A 1”: every way that the line passes."""
        return " → ".join(self.names)


class PatchOfStage(NamedTuple):
    """Where the lines of inputs land, by the id of the input, and whether there are boxes."""

    lines: Mapping[str, StageLine]
    has_boxes: bool


@dataclass(frozen=True, slots=True)
class StageInput:
    """An input that is used at the show, as it is that day.

    `device` is an id, empty where none is named, and `units` are those of what it picks up; `line`
    is the cable or line of the stage box in words. `hired` says that its own microphone or DI is
    hired. `patch` is where it lands; `phantom` says whether it is to have phantom power.
    """

    id: str
    name: str
    player_name: str
    channel: int | None = None
    device: str = ""
    units: frozenset[str] = frozenset()
    line: str = ""
    hired: bool = False
    phantom: bool = False
    patch: StageLine = StageLine()

    @property
    def in_full(self) -> str:
        return f"{self.name} ({self.player_name})"


@dataclass(frozen=True, slots=True)
class StageUnit:
    """A unit on the mains; `circuit` is in words, `watts` is None where not noted."""

    id: str
    name: str
    player_name: str
    circuit: str
    watts: float | None = None

    @property
    def in_full(self) -> str:
        return f"{self.name} ({self.player_name})"


class ChangesOfSet(NamedTuple):
    """What rigs, by their ids, have to do between the songs of a set, and how long that takes."""

    moves: Mapping[str, tuple[Move, ...]]
    times: ChangeSeconds = ASSUMED


@dataclass(frozen=True, slots=True)
class StageRadio:
    """A unit that sends or receives, as it is at the show. `linked` are the ids of units that are
    on the other end of its path: those are meant to be on one frequency."""

    id: str
    name: str
    player_name: str
    radio: OnAir
    linked: frozenset[str] = frozenset()

    @property
    def in_full(self) -> str:
        return f"{self.name} ({self.player_name})"


@dataclass(frozen=True, slots=True)
class Stage:
    """The rigs that play at one show, beside each other.

    `show` and the keys of `devices` are ids. `units` are those that are said to be plugged into a
    circuit. `has_boxes`: boxes with ways are on record. `radios` are those on the air. Without a
    show it is that of all shows.
    `changes` are those between the songs that are played there, in the order of its own set.
    """

    show: str
    rigs: tuple[StageRig, ...] = ()
    inputs: tuple[StageInput, ...] = ()
    units: tuple[StageUnit, ...] = ()
    devices: Mapping[str, StageDevice] = field(default_factory=dict)
    has_boxes: bool = False
    radios: tuple[StageRadio, ...] = ()
    changes: ChangesOfSet = ChangesOfSet({})
