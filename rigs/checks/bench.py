"""A rig laid out for the rules: typed, in SI, with what lies outside it. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.languages.words import number
from rigs.checks.between_songs import ASSUMED, ChangeSeconds, Piece
from rigs.checks.figures import listed, quoted
from rigs.checks.points import Point
from rigs.gear import Gear, gear_of
from rigs.places import Measurement
from rigs.signal.air import speed_of_sound

ASSUMED_CELSIUS = 20.0
# The kinds of cable or path that carry sound or its signal.
AUDIO = frozenset({"instrument", "line", "mic", "speaker", "digital", "radio"})
NO_SOUND = frozenset({"control", "power"})


@dataclass(frozen=True, slots=True)
class BenchDevice:
    """A microphone or DI in V/Pa, dB SPL and ohm; None where nobody has entered a figure."""

    id: str
    name: str
    form: str
    principle: str
    needs_phantom: bool = False
    sensitivity: float | None = None
    max_spl: float | None = None
    impedance: float | None = None
    pattern: str = ""  # in words; empty where it is not stated
    gradient: float | None = None  # share of the pressure gradient; None where it is not known

    @property
    def is_di(self) -> bool:
        return self.form == "di"

    @property
    def is_boundary(self) -> bool:
        return self.principle == "boundary"


@dataclass(frozen=True, slots=True)
class BenchUnit:
    """A piece of gear, its figures in SI by key (rigs.facts), its settings by name of control: of
    a usual one, by the name that rigs.gear has for it.

    `symbols` are the units of those controls that show a value: “dB”, “ms”. `controls` are ids.
    `gauges` are the strings of its set, low to high: diameter in m, and whether it is wound.
    """

    id: str
    name: str
    gear: str
    tuning: str = ""
    facts: Mapping[str, float] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)
    symbols: Mapping[str, str] = field(default_factory=dict)
    controls: Mapping[str, str] = field(default_factory=dict)
    gauges: tuple[tuple[float, bool], ...] = ()
    machine: str = ""  # A or B of a pair of playback machines
    session: str = ""

    @property
    def traits(self) -> Gear:
        return gear_of(self.gear)


@dataclass(frozen=True, slots=True)
class BenchLink:
    """A cable from unit to unit, its length in m.

    `words` are its sockets and label together, for what is stated in words only.
    """

    id: str
    source: str
    target: str
    carries: str
    length: float | None = None
    words: str = ""
    from_socket: str = ""
    to_socket: str = ""


@dataclass(frozen=True, slots=True)
class BenchInput:
    """One thing captured, in metres, degrees, Hz, dB and s; None where not measured or not set.

    `unit` is its own unit, if it has one, and `also` what it picks up besides (rigs.picked_up);
    `other_rigs` counts the rigs of other players that it picks up, too.
    `reference` is what the crew calls the point where its tape starts, and `point` where that is.
    `plan` is its place in the plan of a kit, to the right and to the front.
    """

    id: str
    name: str
    unit: BenchUnit | None = None
    device: BenchDevice | None = None
    reference: str = ""
    point: Point | None = None
    distance: float | None = None
    distance_unit: str = "mm"
    height: float | None = None
    offset: float | None = None
    plan: tuple[float, float] | None = None
    reversed_polarity: bool = False
    phantom: bool = False
    pad: float = 0.0
    pad_at: str = ""  # device or preamp; empty where nobody has said
    ground_lift: bool = False
    gain: float | None = None
    high_pass: float | None = None
    low_pass: float | None = None
    delay: float | None = None  # s, of its channel at the desk
    notes: str = ""
    line: str = ""  # the cable or stage box, in words
    also: tuple[BenchUnit, ...] = ()
    other_rigs: int = 0
    carries: str = ""  # one of rigs.models.inputs.Input.Carries
    monitors_only: bool = False

    @property
    def units(self) -> tuple[BenchUnit, ...]:
        """All that it picks up, its own unit first."""
        return self.also if self.unit is None else (self.unit, *self.also)

    @property
    def unit_ids(self) -> frozenset[str]:
        return frozenset(unit.id for unit in self.units)

    @property
    def is_of_one(self) -> bool:
        """Whether it picks up one unit and no other."""
        return len(self.units) == 1 and not self.other_rigs

    @property
    def is_di(self) -> bool:
        return self.device is not None and self.device.is_di

    @property
    def is_mic(self) -> bool:
        return self.device is not None and not self.device.is_di

    @property
    def own_pad(self) -> float:
        """The pad of the microphone or DI itself in dB, 0 or less."""
        return self.pad if self.pad_at == "device" else 0.0


class AskedTuning(NamedTuple):
    """A tuning of a unit, and the songs that ask for it; none for the usual one."""

    tuning: str
    songs: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The tuning in words: “in “Alder Ebb”, tuned to …”; empty for the usual one."""
        if not self.songs:
            return ""
        songs = listed([quoted(song) for song in self.songs])
        return _("in {songs}, tuned to {tuning}").format(songs=songs, tuning=self.tuning)


class Turned(NamedTuple):
    """A control that a scene sets: its id and name, and the id of its unit."""

    control: str
    name: str
    unit: str


@dataclass(frozen=True, slots=True)
class BenchScene:
    """A scene: its number and name, the id of the unit that recalls it, and what it sets.

    `units` are the ids of those that it takes in or bypasses.
    """

    id: str
    name: str
    holder: str
    units: tuple[str, ...] = ()
    controls: tuple[Turned, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchMessage:
    """A MIDI message of a song to a unit (an id), in words. `has_channel`: it or the unit has one.

    `controller` is the number of the control, None for a program.
    """

    id: str
    unit: str
    song: str
    words: str
    controller: int | None = None
    has_channel: bool = True


@dataclass(frozen=True, slots=True)
class Overruled:
    """A control that a song sets otherwise than its scene; `unit`, `song` and `scene` are ids."""

    song: str
    song_title: str
    scene: str
    scene_name: str
    unit: str
    control: str
    in_scene: str
    in_song: str


@dataclass(frozen=True)
class Bench:
    """One rig as the rules see it.

    `celsius` is the air of the next show, None where nobody has measured it. `songs` are all songs
    as this rig plays them, empty where no song changes anything, and `running` those of the set of
    the next show, in its order; None without such a show. `measured` is what was found out from
    the sound of two inputs. `overruled` is where songs set otherwise what their scenes set.
    `heard_elsewhere` is whether an input of another rig picks up all of this one.
    """

    rig: str
    units: Mapping[str, BenchUnit] = field(default_factory=dict)
    links: tuple[BenchLink, ...] = ()
    inputs: tuple[BenchInput, ...] = ()
    celsius: float | None = None
    songs: tuple[Piece, ...] = ()
    times: ChangeSeconds = ASSUMED
    measured: tuple[Measurement, ...] = ()
    scenes: tuple[BenchScene, ...] = ()
    overruled: tuple[Overruled, ...] = ()
    heard_elsewhere: bool = False
    messages: tuple[BenchMessage, ...] = ()
    running: tuple[Piece, ...] | None = None

    @property
    def in_order(self) -> tuple[Piece, ...]:
        """What is played one after the other."""
        return self.songs if self.running is None else self.running

    def tunings_of(self, unit: BenchUnit) -> list[AskedTuning]:
        """The usual tuning of a unit, then every other one that a song asks for."""
        songs: dict[str, list[str]] = {}
        for song in self.songs:
            if unit.id in song.tunings:
                songs.setdefault(song.tunings[unit.id], []).append(song.title)
        others = (AskedTuning(tuning, tuple(titles)) for tuning, titles in songs.items())
        return [AskedTuning(unit.tuning), *(each for each in others if each.tuning != unit.tuning)]

    @cached_property
    def speed(self) -> float:
        """Speed of sound in m/s at the temperature known or assumed."""
        return speed_of_sound(ASSUMED_CELSIUS if self.celsius is None else self.celsius)

    @property
    def air_words(self) -> str:
        if self.celsius is None:
            return _("Air at {celsius} °C: no temperature is stated for the next show.").format(
                celsius=number(ASSUMED_CELSIUS)
            )
        return _("Air at {celsius} °C, as stated for the next show.").format(
            celsius=number(self.celsius)
        )

    def audio_links(self) -> list[BenchLink]:
        """The cables that sound travels along, between units that are there."""
        return [
            x
            for x in self.links
            if x.carries in AUDIO and x.source in self.units and x.target in self.units
        ]

    def links_from(self, unit: str, *carries: str) -> list[BenchLink]:
        return [x for x in self.links if x.source == unit and (not carries or x.carries in carries)]

    def upstream(self, *units: BenchUnit) -> list[BenchUnit]:
        """The units and everything whose sound reaches them, nearest first; loops end."""
        upstream = {unit.id: unit for unit in units}
        # Breadth first, so that the nearest come first; a unit is taken once, which ends loops.
        queue = list(upstream)
        while queue:
            for source in self._feeding(queue.pop(0)):
                if source not in upstream:
                    upstream[source] = self.units[source]
                    queue.append(source)
        return list(upstream.values())

    def _feeding(self, unit: str) -> Iterator[str]:
        return (
            x.source
            for x in self.links
            if x.target == unit and x.carries in AUDIO and x.source in self.units
        )

    def sources(self, entry: BenchInput) -> frozenset[str]:
        """The ids of the units where the sound of an input begins; all units of a loop count."""
        reached = self.upstream(*entry.units)
        # Two inputs are of one source where these overlap. In a loop nothing is first; all of it
        # counts.
        first = {unit.id for unit in reached if not any(self._feeding(unit.id))}
        return frozenset(first or {unit.id for unit in reached})
