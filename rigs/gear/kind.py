"""What a kind of gear is: how it is offered, and the traits that the program asks about. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from rigs.settings_of_controls import Style


class Usual(NamedTuple):
    """A control that gear of a kind usually has; `taken` is False for one that some of it has.

    `name`, `choices` and `symbol` are English. What a unit gets of them when it is added is text of
    whoever adds it, in the language of that person: `words`, `positions` and `unit`.
    """

    name: str
    style: Style = Style.CLOCK
    choices: str = ""
    symbol: str = ""
    taken: bool = True

    @property
    def words(self) -> str:
        return _(self.name)

    @property
    def positions(self) -> str:
        return _(self.choices) if self.choices else ""

    @property
    def unit(self) -> str:
        return _(self.symbol) if self.symbol else ""


class Family(Enum):
    """Kinds of gear that are looked for together."""

    INSTRUMENTS = gettext_noop("Instruments")
    EFFECTS = gettext_noop("Pedals and effects")
    AMPLIFIERS = gettext_noop("Amplifiers and loudspeakers")
    DRUMS = gettext_noop("Drums and percussion")
    KEYS = gettext_noop("Keys and playback")
    ROUTING = gettext_noop("Radio, routing, power")


class Has(Enum):
    """Whether gear of a kind has something; PERHAPS where some of it has and some has not."""

    NO = "no"
    PERHAPS = "perhaps"
    YES = "yes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """A kind of gear.

    `label` is English, `words` what is shown of it. `icon` is of the general icon set, `called` are
    names of such gear that tell its kind where nobody states it (lower case, the trade's own
    words), `usual` are the controls offered when a unit is added, and `figures` the keys of
    `rigs.facts` that are asked for first. All that follows are traits: what rules, drawings and
    lists ask instead of comparing keys.
    """

    key: str
    label: str
    icon: str
    family: Family
    called: tuple[str, ...] = ()
    usual: tuple[Usual, ...] = ()
    cautions: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()

    # How sound comes in and goes out.
    acoustic: bool = False  # makes a sound that is heard without any cable
    loudspeaker: bool = False  # has a loudspeaker or earphones of its own
    needs_sound: bool = False  # makes no sound of its own, so something must feed it
    carries_sound: bool = True  # False for what has no sound in it, such as a power supply
    supplies_power: bool = False  # has outlets that feed other gear
    receives_radio: bool = False  # what comes in comes by radio
    line_out: bool = False  # gives line level, although it is an effect or for routing
    may_end: bool = False  # nothing need follow it, or nothing can be said of that
    holds_scenes: bool = False  # one press recalls a preset, or what several units are to do
    plays_back: bool = False  # plays tracks that were made before, from a session
    takes_midi: bool = False  # programs and controls can be sent to it

    # What it is to whom plays it.
    strung: bool = False  # tuned by its strings
    pickup: bool = False  # has a pickup whose sound depends on cable and input
    held: bool = False  # in hands: a player holds one at a time
    in_ears: bool = False  # earphones that somebody wears
    person: bool = False  # somebody, who travels without a case
    # In newtons. A plain string with less tension is slack. Rule of thumb, no source.
    least_tension: float | None = None

    # What it is among amplifiers, effects and drums.
    drives_loudspeakers: bool = False
    valves: Has = Has.NO
    bears_speaker_power: Has = Has.NO  # an amplifier may be connected to it as its load
    hides_load: bool = False  # the amplifier sees it alone, whatever hangs behind it
    compresses: bool = False
    of_a_kit: bool = False  # has a place in the plan of a kit
    drum_heads: bool = False  # has heads that are tuned

    @property
    def caution(self) -> str:
        """Its cautions as one text in the language of the reader; empty where there is none."""
        return " ".join(_(caution) for caution in self.cautions)

    @property
    def words(self) -> str:
        """Its label in the language of the reader."""
        return _(self.label)

    @property
    def numbered(self) -> bool:
        """Whether its own dials have numbers, so that a bare 10 at one of them is no time."""
        return any(usual.style == Style.DIAL for usual in self.usual)

    @property
    def heard(self) -> bool:
        """Whether it reaches ears by itself, with no cable out of it."""
        return self.acoustic or self.loudspeaker
