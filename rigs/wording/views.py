"""Views of a rig and its parts for pages and drawings: plain values that make no queries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from core.units import Length
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
        return ", ".join(parts) or self.carries_label


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


@dataclass(frozen=True, slots=True)
class InputView:
    """`specs` has everything that is set, in reading order, for a list of settings; `known` are
    its fields as the snapshot has them, lengths in metres beside the unit they were written in."""

    id: str
    number: int | None
    name: str
    unit: str = ""
    unit_name: str = ""
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
        return placement_words(self.known, on=self.unit_name)

    @property
    def placement(self) -> tuple[Spec, ...]:
        """What is said of the microphone and where it stands."""
        return tuple(spec for spec in self.specs if _is_beside_device(spec))

    @property
    def mix(self) -> tuple[Spec, ...]:
        """The settings at the desk, without those of the microphone and without the notes."""
        return tuple(s for s in self.specs if not _is_beside_device(s) and s.field != "notes")


@dataclass(frozen=True, slots=True)
class DifferenceView:
    """One thing that a song changes.

    `control` is set as the song wants it and has its usual setting as the earlier one; a tuning
    has `usual` in words.
    """

    id: str
    what: str
    about: str  # id of the control, unit or input; empty for a cue
    name: str  # “Gain”, “Huvel”, “7 Bass mic”; “cue”
    unit: str = ""  # id of the unit a control belongs to, or the unit itself
    unit_name: str = ""
    text: str = ""
    usual: str = ""
    section: str = ""
    at_s: int | None = None
    control: ControlView | None = None


@dataclass(frozen=True, slots=True)
class SongView:
    """What one song changes on a rig, in the order of the rig; cues last, as they come."""

    id: str
    title: str
    position: int
    differences: tuple[DifferenceView, ...] = ()

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
    def cues(self) -> tuple[DifferenceView, ...]:
        return self._of("cue")


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
    photos: tuple[PhotoView, ...] = ()
    songs: tuple[SongView, ...] = ()  # those that change something, in the order of the set
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

    def input(self, pk: object) -> InputView | None:
        entry = self.by_id.get(str(pk))
        return entry if isinstance(entry, InputView) else None

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
