"""The stage of one show laid out for the rules: the rigs that play, beside each other. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


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


@dataclass(frozen=True, slots=True)
class StageInput:
    """An input that is used at the show, as it is that day.

    `device` and `unit` are ids, empty where none is named; `line` is the cable or line of the
    stage box in words. `hired` says that its own microphone or DI is hired.
    """

    id: str
    name: str
    player_name: str
    channel: int | None = None
    device: str = ""
    unit: str = ""
    line: str = ""
    hired: bool = False

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


@dataclass(frozen=True, slots=True)
class Stage:
    """The rigs that play at one show, beside each other.

    `show` and the keys of `devices` are ids. `units` are those that are said to be plugged into a
    circuit.
    """

    show: str
    rigs: tuple[StageRig, ...] = ()
    inputs: tuple[StageInput, ...] = ()
    units: tuple[StageUnit, ...] = ()
    devices: Mapping[str, StageDevice] = field(default_factory=dict)
