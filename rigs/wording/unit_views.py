"""Units, their controls, figures, spares and photos, ready to be shown: plain values."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core.countries import country_in_words
from core.languages.marked import gettext_noop
from core.languages.words import each_of, leading
from core.money import in_words
from rigs.gear import Gear, gear_of

# How a note of a drum head is said with what it was taken from (Spare.PitchAt).
PITCH_AT = {
    "": gettext_noop("{note} (by lug or fundamental: not said)"),
    "lug": gettext_noop("{note} by lug"),
    "fundamental": gettext_noop("{note}, fundamental"),
}


def tuned_words(pitch: str, pitch_at: str) -> str:
    """“F#3 by lug”, “D#1, fundamental”; of a note that does not say which, that it does not."""
    return _(PITCH_AT[pitch_at]).format(note=pitch) if pitch else ""


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
        return _("pin {number}").format(number=self.number)

    @property
    def legend(self) -> str:
        """“Bass of Valve head: 2:30”, with the pin's own words, if any, after it."""
        text = leading(self.target, self.now) if self.target and self.now else self.target
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
    maker: str = ""
    side: str = ""  # of a drum head: “batter head”
    pitch: str = ""
    pitch_at: str = ""  # what the note was taken from, as stored
    is_head: bool = False
    is_string: bool = False

    @property
    def tuned(self) -> str:
        return tuned_words(self.pitch, self.pitch_at)

    @property
    def line(self) -> str:
        """“String set: flat-wound, 45 65 80 100; 1 spare carried; changed every 12 shows”."""
        spares = ngettext("{n} spare carried", "{n} spares carried", self.carried)
        return _("{sort}: {what}; {spares}; {interval}").format(
            sort=capfirst(self.sort_label),
            what=self.described,
            spares=spares.format(n=self.carried),
            interval=self.interval,
        )


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
            return self.caption or _("Photo")
        about = self.about_name or _("the rig")
        if not self.view:
            return _("Photo of {thing}").format(thing=about)
        return _("Photo of {thing}, {view}").format(thing=about, view=self.view)

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
    mains_rating: str = ""
    packed_in: str = ""
    country_of_origin: str = ""
    worth: Decimal | None = None
    currency: str = ""
    machine: str = ""
    session: str = ""
    midi_channel: int | None = None
    programs_from: str = ""
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
    def origin(self) -> str:
        """“SE, Sweden”."""
        return country_in_words(self.country_of_origin)

    @property
    def worth_in_words(self) -> str:
        return "" if self.worth is None else in_words(self.worth, self.currency)

    @property
    def changed_controls(self) -> tuple[ControlView, ...]:
        return tuple(control for control in self.controls if control.changed)

    @property
    def make(self) -> str:
        return f"{self.maker} {self.model}".strip()

    @property
    def midi(self) -> str:
        """“channel 3, programs counted from 1”; empty where neither is stated."""
        said = []
        if self.midi_channel:
            said.append(_("channel {number}").format(number=self.midi_channel))
        if self.programs_from:
            said.append(_("programs counted from {number}").format(number=self.programs_from))
        return each_of(said)
