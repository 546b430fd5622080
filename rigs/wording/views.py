"""Views of a rig and its parts for pages and drawings: plain values that make no queries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.languages.words import each_of
from core.units import Length
from rigs.changes.edits import Snapshot
from rigs.changes.played import Played, played
from rigs.fields import find
from rigs.wording.lengths import length_in, length_text
from rigs.wording.placement import Known, placement_words
from rigs.wording.unit_views import ControlView, PhotoView, PinPlace, UnitView


@dataclass(frozen=True, slots=True)
class Spec:
    """One line of a list of settings: “Preamp gain”, “32 dB”."""

    field: str
    label: str
    text: str
    changed: bool = False
    was: str = ""  # as it read before, if changed; empty if nothing was set


@dataclass(frozen=True, slots=True)
class LinkView:
    id: str
    source: str
    target: str
    source_name: str
    target_name: str
    from_socket: str = ""
    to_socket: str = ""
    carries: str = ""
    carries_label: str = ""
    cable: str = ""
    connectors: str = ""
    length_m: Decimal | None = None
    length_unit: str = "m"

    @property
    def length(self) -> Length | None:
        return length_in(self, "length")

    @property
    def length_text(self) -> str:
        return length_text(self.length)

    @property
    def short_length(self) -> str:
        """The length as it was entered, without its equal in the other system of units."""
        return length_text(self.length, both=False)

    @property
    def name(self) -> str:
        """The name of the cable: cable, connectors and length, or else what it carries."""
        parts = [text for text in (self.cable, self.connectors, self.length_text) if text]
        return each_of(parts) or self.carries_label


@dataclass(frozen=True, slots=True)
class DeviceView:
    id: str
    name: str
    form: str
    form_label: str
    principle: str
    principle_label: str
    pattern_label: str
    phantom: bool
    retired: bool = False
    short: str = ""  # the name without the maker

    @property
    def is_passive_ribbon(self) -> bool:
        return self.principle == "ribbon"


def _is_beside_device(spec: Spec) -> bool:
    row = find("input", spec.field)
    return row is not None and row.is_beside_device


class OtherRig(NamedTuple):
    """All that another player plays through, by the id of that player: “Ines Halloran’s rig”."""

    id: str
    name: str


class Elsewhere(NamedTuple):
    """An input of another rig that picks up all of this one: “24 Room left in Drum kit”."""

    id: str
    rig: str  # its id
    name: str


def _sent(message: DifferenceView) -> str:
    words = _("MIDI to {unit}: {message}")
    return words.format(unit=message.name, message=message.text)


@dataclass(frozen=True, slots=True)
class InputView:
    """`specs` has everything that is set, in reading order, for a list of settings; `known` are
    its fields as the snapshot has them, lengths in metres beside the unit they were written in.

    `unit` is its own unit; `chosen` and `units` are all that it picks up (rigs.picked_up), and
    `heard` says that in words: “Kick and the brass”. `others` are those of other players in it."""

    id: str
    number: int | None
    name: str
    unit: str = ""
    chosen: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    heard: str = ""
    others: tuple[OtherRig, ...] = ()
    device: DeviceView | None = None
    aimed_at: str = ""
    reference_point: str = ""
    distance_m: Decimal | None = None
    distance_unit: str = "mm"
    angle_deg: Decimal | None = None
    angle_text: str = ""
    height_m: Decimal | None = None
    height_unit: str = "mm"
    offset_m: Decimal | None = None
    offset_unit: str = "mm"
    plan_right_m: Decimal | None = None
    plan_right_unit: str = "cm"
    plan_front_m: Decimal | None = None
    plan_front_unit: str = "cm"
    stand: str = ""
    phantom: bool = False
    reversed_polarity: bool = False
    pan: int = 0
    notes: str = ""
    specs: tuple[Spec, ...] = ()
    photos: tuple[PhotoView, ...] = ()
    is_new: bool = False
    seen_on: tuple[PinPlace, ...] = ()
    known: Known = field(default_factory=dict)

    @property
    def label(self) -> str:
        return self.name if self.number is None else f"{self.number} {self.name}"

    @property
    def distance(self) -> Length | None:
        return length_in(self, "distance")

    @property
    def distance_text(self) -> str:
        return length_text(self.distance)

    @property
    def height_text(self) -> str:
        return length_text(length_in(self, "height"))

    @property
    def offset_text(self) -> str:
        return length_text(length_in(self, "offset"))

    @property
    def where(self) -> str:
        """What its sound is taken from and where it stands, in one sentence."""
        return placement_words(self.known, on=self.heard)

    @property
    def placement(self) -> tuple[Spec, ...]:
        """What is said of the microphone and where it stands."""
        return tuple(spec for spec in self.specs if _is_beside_device(spec))

    @property
    def mix(self) -> tuple[Spec, ...]:
        """The settings at the desk, without those of the microphone and without the notes."""
        return tuple(s for s in self.specs if not _is_beside_device(s) and s.field != "notes")


@dataclass(frozen=True, slots=True)
class GroupView:
    """Units that go by one name, by their ids and names in the order of the rig."""

    id: str
    name: str
    units: tuple[str, ...]
    unit_names: tuple[str, ...]

    @property
    def is_group(self) -> bool:
        """A template asks this of what may be a unit, too, which has no such word."""
        return True


@dataclass(frozen=True, slots=True)
class DifferenceView:
    """One thing that a song or a scene changes.

    `control` is set as the song wants it and has its usual setting as the earlier one; a tuning
    has `usual` in words. `overrules` says what a scene of the song has there instead, and `scene`
    is the scene that is named, where one is.
    """

    id: str
    what: str
    about: str  # id of the control, unit or input; of the unit that recalls a scene; none for a cue
    name: str  # “Gain”, “Huvel”, “7 Bass mic”; “cue”
    unit: str = ""  # id of the unit a control belongs to, or the unit itself
    unit_name: str = ""
    text: str = ""
    usual: str = ""
    section: str = ""
    at_s: int | None = None
    control: ControlView | None = None
    overrules: str = ""
    scene: SceneView | None = None

    @property
    def has_moment(self) -> bool:
        """Whether it happens within the song."""
        return bool(self.section) or self.at_s is not None


@dataclass(frozen=True, slots=True)
class SceneView:
    """A scene and what it sets, in the order of the rig: units in or bypassed, then controls."""

    id: str
    unit: str
    unit_name: str
    slot: str
    name: str
    sets: tuple[DifferenceView, ...] = ()

    @property
    def label(self) -> str:
        return f"{self.slot} {self.name}".strip()

    @property
    def units(self) -> tuple[DifferenceView, ...]:
        return tuple(each for each in self.sets if each.what == "unit")

    @property
    def controls(self) -> tuple[DifferenceView, ...]:
        return tuple(each for each in self.sets if each.what == "control")

    @property
    def line(self) -> str:
        """What it sets in one line: “Echo in, Gate bypassed, Echo Time 620 ms”."""
        units = [f"{each.name} {each.text}" for each in self.units]
        controls = [f"{each.unit_name} {each.name} {each.text}" for each in self.controls]
        return each_of([*units, *controls])


@dataclass(frozen=True, slots=True)
class SongView:
    """What one song changes on a rig, in the order of the rig; what happens within it comes last.

    `begins` is how the rig stands at its beginning, and `ends` after its last change of scene.
    """

    id: str
    title: str
    position: int
    differences: tuple[DifferenceView, ...] = ()
    begins: Played = field(default_factory=Played)
    ends: Played = field(default_factory=Played)

    def _of(self, what: str) -> tuple[DifferenceView, ...]:
        return tuple(each for each in self.differences if each.what == what)

    @property
    def instrument(self) -> DifferenceView | None:
        return next(iter(self._of("instrument")), None)

    @property
    def tunings(self) -> tuple[DifferenceView, ...]:
        return self._of("tuning")

    @property
    def controls(self) -> tuple[DifferenceView, ...]:
        return self._of("control")

    @property
    def inputs_off(self) -> tuple[DifferenceView, ...]:
        return self._of("input")

    @property
    def scenes(self) -> tuple[DifferenceView, ...]:
        """The scenes that it begins with."""
        return self._of("scene")

    @property
    def messages(self) -> tuple[DifferenceView, ...]:
        """The MIDI messages that it begins with."""
        return tuple(each for each in self._of("midi") if not each.has_moment)

    @property
    def cues(self) -> tuple[DifferenceView, ...]:
        """What happens within the song as it comes: changes of scene and MIDI are among it."""
        return tuple(
            replace(each, text=_sent(each)) if each.what == "midi" else each
            for each in self.differences
            if each.what in ("cue", "scene_change") or (each.what == "midi" and each.has_moment)
        )


@dataclass(frozen=True, slots=True)
class RigView:
    """A whole rig in one state. `photos` are those that show no single unit or input."""

    id: str
    name: str
    variant: str
    variant_label: str
    sound: str
    notes: str
    retired: bool
    units: tuple[UnitView, ...] = ()
    links: tuple[LinkView, ...] = ()
    inputs: tuple[InputView, ...] = ()
    groups: tuple[GroupView, ...] = ()
    photos: tuple[PhotoView, ...] = ()
    songs: tuple[SongView, ...] = ()  # those that change something, in the order of the set
    scenes: tuple[SceneView, ...] = ()  # unit by unit, each in its own order
    elsewhere: tuple[Elsewhere, ...] = ()  # as it is now, of a state of any time
    snapshot: Snapshot = field(default_factory=dict, compare=False, repr=False)
    by_id: dict[str, UnitView | InputView] = field(default_factory=dict, compare=False)

    @property
    def moved_controls(self) -> int:
        return sum(len(unit.changed_controls) for unit in self.units)

    @property
    def has_drums(self) -> bool:
        return any(unit.traits.drum_heads for unit in self.units)

    @property
    def undescribed(self) -> int:
        """How many photos nobody has said yet what they show."""
        return sum(not photo.is_described for photo in self.photos)

    def unit(self, pk: object) -> UnitView | None:
        unit = self.by_id.get(str(pk))
        return unit if isinstance(unit, UnitView) else None

    def played(self, song: str = "", scenes: Iterable[str] = ()) -> Played:
        """How the rig stands in a song, or in scenes (rigs.changes.played)."""
        return played(self.snapshot, song, scenes)

    def scene(self, pk: object) -> SceneView | None:
        return next((scene for scene in self.scenes if scene.id == str(pk)), None)

    def scenes_on(self, unit: object) -> tuple[SceneView, ...]:
        return tuple(scene for scene in self.scenes if scene.unit == str(unit))

    def input(self, pk: object) -> InputView | None:
        entry = self.by_id.get(str(pk))
        return entry if isinstance(entry, InputView) else None

    def source(self, pk: object) -> UnitView | GroupView | None:
        """What an input may pick up: a unit or a group of units."""
        group = next((each for each in self.groups if each.id == str(pk)), None)
        return group or self.unit(pk)

    def photo(self, pk: object) -> PhotoView | None:
        return next((photo for photo in self.all_photos() if photo.id == str(pk)), None)

    @property
    def has_photos(self) -> bool:
        """Whether there is one of the rig or of any part of it."""
        return any(True for _ in self.all_photos())

    def all_photos(self) -> Iterator[PhotoView]:
        yield from self.photos
        for unit in self.units:
            yield from unit.photos
        for entry in self.inputs:
            yield from entry.photos
