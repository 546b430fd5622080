"""A rig ready to be shown or drawn: plain values, no database behind them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Spec:
    """One line of a list of settings: “Preamp gain”, “32 dB”."""

    field: str
    label: str
    text: str
    changed: bool = False
    was: str = ""  # as it read before, if changed; empty if nothing was set


@dataclass(frozen=True, slots=True)
class PinPlace:
    """Where something is seen: a numbered pin on a photo."""

    photo: str
    photo_name: str
    number: int


@dataclass(frozen=True, slots=True)
class PinView:
    """A numbered place on a photo. `x` and `y` are fractions of the picture, from its top left.

    `target` names what it points at, `now` how that stands: a setting, a microphone and where.
    """

    id: str
    number: int
    x: Decimal
    y: Decimal
    words: str = ""
    about: str = ""
    about_kind: str = ""  # unit, control or input
    unit: str = ""  # id of the unit whose page shows what it points at
    target: str = ""
    now: str = ""

    @property
    def name(self) -> str:
        return f"pin {self.number}"

    @property
    def legend(self) -> str:
        """“Bass of Valve head: 2:30”, with the pin's own words, if any, after it."""
        told = f"{self.target}: {self.now}" if self.target and self.now else self.target
        return f"{told} ({self.words})" if told and self.words else told or self.words


@dataclass(frozen=True, slots=True)
class ControlView:
    """A knob or switch. `setting` is as kept ("2:30", "6.5", "on"), `text` as it reads."""

    id: str
    name: str
    style: str
    setting: str
    text: str
    low: Decimal | None = None
    high: Decimal | None = None
    choices: tuple[str, ...] = ()
    symbol: str = ""
    changed: bool = False
    was: str | None = None  # the earlier setting where it changed; None if the control is new
    was_text: str = ""
    angle: float | None = None  # of a dial's pointer, degrees clockwise from straight up
    was_angle: float | None = None
    since_signed: bool = False  # what it was is what it was when the player signed
    seen_on: tuple[PinPlace, ...] = ()


@dataclass(frozen=True, slots=True)
class FactView:
    id: str
    key: str
    label: str
    value: Decimal  # in SI
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class SpareView:
    """What wears on a unit: `told` is what it is in words, `interval` how often it is changed."""

    id: str
    sort: str
    sort_label: str
    what: str
    told: str
    interval: str
    in_use: int = 1
    carried: int = 0
    gauges: str = ""

    @property
    def line(self) -> str:
        """“String set: flat-wound, 45 65 80 100; 1 spare carried; changed every 12 shows”."""
        spares = f"{self.carried} {'spare' if self.carried == 1 else 'spares'} carried"
        return f"{self.sort_label.capitalize()}: {self.told}; {spares}; {self.interval}"


@dataclass(frozen=True, slots=True)
class PhotoView:
    """`id` is the photo's place in the rig, the argument of its addresses."""

    id: str
    caption: str
    about: str = ""  # id of the unit or input it shows; empty for the whole rig
    about_name: str = ""
    width: int = 0
    height: int = 0
    image: str = ""  # id of the stored picture: addresses carry it, so that they may be cached
    pins: tuple[PinView, ...] = ()

    @property
    def alternative(self) -> str:
        return self.caption or (f"Photo of {self.about_name}" if self.about_name else "Photo")


@dataclass(frozen=True, slots=True)
class UnitView:
    id: str
    name: str
    gear: str
    gear_label: str
    icon: str
    caution: str
    maker: str = ""
    model: str = ""
    serial: str = ""
    tuning: str = ""
    notes: str = ""
    stage_position: str = ""
    packed_in: str = ""
    controls: tuple[ControlView, ...] = ()
    facts: tuple[FactView, ...] = ()
    spares: tuple[SpareView, ...] = ()
    plan_right_m: Decimal | None = None
    plan_right_text: str = ""
    plan_front_m: Decimal | None = None
    plan_front_text: str = ""
    photos: tuple[PhotoView, ...] = ()
    is_new: bool = False
    seen_on: tuple[PinPlace, ...] = ()

    @property
    def changed_controls(self) -> tuple[ControlView, ...]:
        return tuple(control for control in self.controls if control.changed)

    @property
    def make(self) -> str:
        return f"{self.maker} {self.model}".strip()


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
    length_text: str = ""

    @property
    def short_length(self) -> str:
        """As it was entered, without the other unit."""
        return self.length_text.split(" (")[0]

    @property
    def name(self) -> str:
        """What it is called: cable, connectors and length, or else what it carries."""
        told = [text for text in (self.cable, self.connectors, self.length_text) if text]
        return ", ".join(told) or self.carries_label


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


def _signed(length: Decimal | None, text: str, positive: str, negative: str) -> str:
    if not length:
        return ""
    return f"{text} {positive}" if length > 0 else f"{text.replace('−', '')} {negative}"


@dataclass(frozen=True, slots=True)
class InputView:
    """`specs` has everything that is set, in reading order, for a list of settings."""

    id: str
    number: int | None
    name: str
    unit: str = ""
    unit_name: str = ""
    device: DeviceView | None = None
    aimed_at: str = ""
    reference_point: str = ""
    distance_m: Decimal | None = None
    distance_text: str = ""
    angle_deg: Decimal | None = None
    angle_text: str = ""
    height_m: Decimal | None = None
    height_text: str = ""
    offset_m: Decimal | None = None
    offset_text: str = ""
    plan_right_m: Decimal | None = None
    plan_right_text: str = ""
    plan_front_m: Decimal | None = None
    plan_front_text: str = ""
    stand: str = ""
    phantom: bool = False
    reversed_polarity: bool = False
    pan: int = 0
    notes: str = ""
    specs: tuple[Spec, ...] = ()
    photos: tuple[PhotoView, ...] = ()
    is_new: bool = False
    seen_on: tuple[PinPlace, ...] = ()

    @property
    def label(self) -> str:
        return self.name if self.number is None else f"{self.number} {self.name}"

    @property
    def height_words(self) -> str:
        """Which way it lies from the point it is measured from: “5 cm (2 in) below it”."""
        return _signed(self.height_m, self.height_text, "above it", "below it")

    @property
    def side_words(self) -> str:
        return _signed(self.offset_m, self.offset_text, "to the right", "to the left")

    @property
    def placement(self) -> tuple[Spec, ...]:
        return tuple(spec for spec in self.specs if spec.field in PLACEMENT)

    @property
    def mix(self) -> tuple[Spec, ...]:
        return tuple(s for s in self.specs if s.field not in PLACEMENT and s.field != "notes")


@dataclass(frozen=True, slots=True)
class DifferenceView:
    """One thing a song changes. `control` stands where the song wants it, its usual setting as
    what it was; a tuning or an instrument has `usual` in words."""

    id: str
    what: str
    about: str  # id of the control, unit or input; empty for a cue
    name: str  # “Gain”, “Heron”, “7 Bass mic”; “cue”
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


PLACEMENT = frozenset({
    "unit", "aimed_at", "device", "reference_point", "distance_m", "angle_deg", "height_m",
    "offset_m", "plan_right_m", "plan_front_m", "stand",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class RigView:
    """A whole rig in one state. `photos` are those of no unit or input."""

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
        return any(unit.gear == "drum" for unit in self.units)

    def unit(self, pk: object) -> UnitView | None:
        found = self.by_id.get(str(pk))
        return found if isinstance(found, UnitView) else None

    def input(self, pk: object) -> InputView | None:
        found = self.by_id.get(str(pk))
        return found if isinstance(found, InputView) else None

    def photo(self, pk: object) -> PhotoView | None:
        return next((photo for photo in self.all_photos() if photo.id == str(pk)), None)

    def all_photos(self) -> Iterator[PhotoView]:
        yield from self.photos
        for unit in self.units:
            yield from unit.photos
        for entry in self.inputs:
            yield from entry.photos
