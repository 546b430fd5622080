"""Units, their controls, figures, spares and photos, ready to be shown: plain values."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rigs.gear import Gear, gear_of


@dataclass(frozen=True, slots=True)
class PinPlace:
    """A numbered pin on a photo that points at the thing whose view has this."""

    photo: str
    photo_name: str
    number: int


@dataclass(frozen=True, slots=True)
class PinView:
    """A numbered place on a photo. `x` and `y` are fractions of the picture, from its top left.

    `target` names what it points at; `now` is its state: a setting, or a microphone and its place.
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
        text = f"{self.target}: {self.now}" if self.target and self.now else self.target
        return f"{text} ({self.words})" if text and self.words else text or self.words


@dataclass(frozen=True, slots=True)
class ControlView:
    """A knob or switch. `setting` is as stored ("2:30", "6.5", "on"), `text` as a page shows it."""

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
    """What wears on a unit. `described` is its type in words, `interval` how often it is due."""

    id: str
    sort: str
    sort_label: str
    what: str
    described: str
    interval: str
    in_use: int = 1
    carried: int = 0
    gauges: str = ""

    @property
    def line(self) -> str:
        """“String set: flat-wound, 45 65 80 100; 1 spare carried; changed every 12 shows”."""
        spares = f"{self.carried} {'spare' if self.carried == 1 else 'spares'} carried"
        return f"{self.sort_label.capitalize()}: {self.described}; {spares}; {self.interval}"


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
    view: str = ""  # what of its subject it shows, in words
    pins: tuple[PinView, ...] = ()

    @property
    def alternative(self) -> str:
        if self.caption or not self.is_described:
            return self.caption or "Photo"
        words = [self.about_name or "the rig", *filter(None, [self.view])]
        return f"Photo of {', '.join(words)}"

    @property
    def is_described(self) -> bool:
        """Whether anybody said what it shows."""
        return bool(self.about or self.view or self.caption)


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
    mains_circuit: str = ""
    packed_in: str = ""
    controls: tuple[ControlView, ...] = ()
    facts: tuple[FactView, ...] = ()
    spares: tuple[SpareView, ...] = ()
    plan_right_m: Decimal | None = None
    plan_right_unit: str = "cm"
    plan_front_m: Decimal | None = None
    plan_front_unit: str = "cm"
    photos: tuple[PhotoView, ...] = ()
    is_new: bool = False
    seen_on: tuple[PinPlace, ...] = ()

    @property
    def traits(self) -> Gear:
        return gear_of(self.gear)

    @property
    def changed_controls(self) -> tuple[ControlView, ...]:
        return tuple(control for control in self.controls if control.changed)

    @property
    def make(self) -> str:
        return f"{self.maker} {self.model}".strip()
