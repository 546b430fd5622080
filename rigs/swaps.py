"""What another microphone or DI makes doubtful on an input, and what is safe. Pure.

Whatever puts another device on an input asks `doubts`, through `open_swaps`: phantom power, ground
lift, pad and gain were set for the device before, and nobody may carry them over unseen.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import NamedTuple, Protocol, TypeAlias

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number
from core.limits import at_least
from core.units import plain
from rigs.changes.edits import Snapshot, Value
from rigs.signal.levels import db_from_ratio

# What was set for one device and is not carried over to another unseen.
FIELDS = ("phantom", "ground_lift", "pad_db", "pad_at", "gain_db")
# A rise below this drowns in the tolerance of the capsules themselves: makers' sheets commonly
# state ±1 dB and more. Common practice, no source.
LEAST_DB = 0.5
# The range of the gain of an input (rigs.models.inputs), in dB.
_LOWEST_GAIN, _HIGHEST_GAIN = -30.0, 90.0
# Where nothing is known of the level, gain is brought up from the bottom of a preamp's range.
# Common practice, no source.
_START_GAIN = 0.0

Stated: TypeAlias = Mapping[str, Collection[str]]  # part → fields that somebody decided


class Pickup(Protocol):
    """A microphone or DI, as far as it matters here; sensitivity in V/Pa, None where not stated."""

    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def is_di(self) -> bool: ...
    @property
    def principle(self) -> str: ...
    @property
    def needs_phantom(self) -> bool: ...
    @property
    def sensitivity(self) -> float | None: ...


class Known(NamedTuple):
    """A device of the catalogue."""

    id: str
    name: str
    is_di: bool
    principle: str
    needs_phantom: bool
    sensitivity: float | None


@dataclass(frozen=True, slots=True)
class Channel:
    """A channel: phantom power, pad (dB, 0 or below), preamp gain (dB, None where not recorded).

    `own_pad`: the pad is the device's own. `ground_lift`: the shield of a DI's cable is open.
    """

    phantom: bool = False
    pad: float = 0.0
    gain: float | None = None
    own_pad: bool = False
    ground_lift: bool = False


class Doubt(NamedTuple):
    """A setting that no longer fits: what it is, what is safe, and why, in a sentence."""

    field: str
    now: bool | float | str
    safe: bool | float | str
    why: str

    @property
    def value(self) -> bool | str:
        """The safe value in the spelling of a record."""
        return self.safe if isinstance(self.safe, bool | str) else plain(Decimal(str(self.safe)))

    @property
    def proposal(self) -> str:
        """The safe value in words: “phantom power off”, “gain 26 dB”."""
        if isinstance(self.safe, bool):
            words = (_ON if self.safe else _OFF)[self.field]
        elif isinstance(self.safe, str):
            words = _PAD_AT if self.safe else _PAD_AT_NOBODY
        else:
            words = _LEVEL[self.field]
        amount = "" if isinstance(self.safe, bool | str) else number(Decimal(str(self.safe)))
        return str(words).format(db=amount, whose=self.safe)


_ON = {
    "phantom": gettext_lazy("phantom power on"),
    "ground_lift": gettext_lazy("ground lift on"),
}
_OFF = {
    "phantom": gettext_lazy("phantom power off"),
    "ground_lift": gettext_lazy("ground lift off"),
}
_PAD_AT = gettext_lazy("whose pad it is {whose}")
_PAD_AT_NOBODY = gettext_lazy("whose pad it is not stated")
_LEVEL = {"pad_db": gettext_lazy("pad {db} dB"), "gain_db": gettext_lazy("gain {db} dB")}


class Swap(NamedTuple):
    """An input that gets another device, and the doubts that nobody has decided yet."""

    part: str
    name: str
    before: str
    after: str
    doubts: tuple[Doubt, ...]

    @property
    def safe(self) -> dict[str, bool | str]:
        """The safe values by field, as the gateway takes them."""
        return {doubt.field: doubt.value for doubt in self.doubts}


def doubts(
    before: Pickup | None,
    after: Pickup | None,
    was: Channel,
    then: Channel,
    decided: Collection[str] = (),
) -> tuple[Doubt, ...]:
    """The settings that no longer fit when `after` takes the place of `before`.

    `was` is the channel as it stands, `then` as it would be with the new device if nobody decided
    anything more; `decided` names the fields that somebody set knowingly. Phantom power is off
    unless the new device needs it; a ground lift is out unless a DI can do without its shield; gain
    comes down by as much as the level would rise (sensitivities in V/Pa, pad and gain in dB), or to
    the bottom where the level cannot be compared. A pad stays in, unless it was the old device's
    own: that one is gone with it. Sensitivity, pad and gain add up in dB (definition).
    """
    result = [*_phantom(after, then)]
    if before is not None and (after is None or before.id != after.id):
        result += _ground_lift(before, after, was, then)
    if before is not None and after is not None and before.id != after.id:
        left = then if "pad_db" in decided else without_own_pad(was, then)
        pads = _gone_pad(before, then) if left != then else _pad(before, was, then)
        result += [*pads, *_gain(before, after, was, left)]
    return tuple(doubt for doubt in result if doubt.field not in decided)


def without_own_pad(was: Channel, then: Channel) -> Channel:
    """`then` without a pad that was the old device's own, since that one does not come along."""
    is_old = was.own_pad and then.own_pad and was.pad == then.pad
    return replace(then, pad=0.0, own_pad=False) if is_old and then.pad else then


def _ground_lift(
    before: Pickup, after: Pickup | None, was: Channel, then: Channel
) -> Iterator[Doubt]:
    if not (was.ground_lift and then.ground_lift):
        return
    if after is None or not after.is_di:
        if after is None:
            words = _(
                "The ground lift was that of {old}. No DI is named: a lifted shield makes it fail."
            )
        else:
            words = _(
                "The ground lift was that of {old}. {new} is a microphone: a lifted shield makes "
                "it fail."
            )
        why = words.format(old=before.name, new=after.name if after else "")
        yield Doubt("ground_lift", True, False, why)
    else:
        if after.needs_phantom:
            words = _(
                "The ground lift was that of {old}, and {new} has a switch of its own. Its phantom "
                "power comes back through the shield."
            )
        else:
            words = _("The ground lift was that of {old}, and {new} has a switch of its own.")
        why = words.format(old=before.name, new=after.name)
        yield Doubt("ground_lift", True, not after.needs_phantom, why)


def wants_phantom(device: Pickup) -> bool:
    """Whether phantom power belongs on.

    Never for a passive ribbon, whatever else its entry says: one of the two is wrong there, and
    off harms nothing.
    """
    return device.needs_phantom and device.principle != "ribbon"


def _phantom(after: Pickup | None, then: Channel) -> Iterator[Doubt]:
    needed = after is not None and wants_phantom(after)
    if then.phantom != needed:
        yield Doubt("phantom", then.phantom, needed, _why_phantom(after))


def _why_phantom(after: Pickup | None) -> str:
    if after is None:
        return _("Phantom power is on, and no microphone or DI is named that needs it.")
    if wants_phantom(after):
        return _("{name} needs phantom power, which is off.").format(name=after.name)
    if after.principle == "ribbon":
        return _(
            "{name} is a passive ribbon: through a faulty cable, a patchbay or a "
            "passive split phantom power can stretch its ribbon."
        ).format(name=after.name)
    return _("{name} is not entered as needing phantom power, which is on.").format(name=after.name)


def _pad(before: Pickup, was: Channel, then: Channel) -> Iterator[Doubt]:
    if then.pad and then.pad == was.pad:
        why = _("The pad was put in for {name}. Taking it out makes the channel louder.").format(
            name=before.name
        )
        yield Doubt("pad_db", then.pad, then.pad, why)


def _gone_pad(before: Pickup, then: Channel) -> Iterator[Doubt]:
    why = _("The pad was that of {name} itself and is gone with it.").format(name=before.name)
    yield Doubt("pad_db", then.pad, 0.0, why)
    yield Doubt("pad_at", "device", "", why)


def _gain(before: Pickup, after: Pickup, was: Channel, then: Channel) -> Iterator[Doubt]:
    if then.gain is None:
        return
    rise = rise_of(before, after, was, then)
    if rise is None:
        safe = min(then.gain, _START_GAIN)
        yield Doubt(
            "gain_db",
            then.gain,
            safe,
            _(
                "The gain was set for {old}, and the level of {new} against it is not known. Turn "
                "it up by ear."
            ).format(old=before.name, new=after.name),
        )
    elif at_least(abs(rise), LEAST_DB):
        yield _turned(before, after, then.gain, rise)


def rise_of(before: Pickup, after: Pickup, was: Channel, then: Channel) -> float | None:
    """By how many dB the channel would be louder; None where that is not known."""
    both_mics = not before.is_di and not after.is_di
    known = before.sensitivity is not None and after.sensitivity is not None
    if not both_mics or not known or was.gain is None or then.gain is None:
        return None
    more = float(db_from_ratio((after.sensitivity or 1) / (before.sensitivity or 1)))
    return more + then.pad - was.pad + then.gain - was.gain


def _turned(before: Pickup, after: Pickup, gain: float, rise: float) -> Doubt:
    # To half a dB, downwards, as preamps are turned.
    like = max(_LOWEST_GAIN, math.floor((gain - rise) * 2) / 2)
    like = min(like, _HIGHEST_GAIN)
    if rise > 0:
        words = _("With {new} the channel is {db} dB louder than with {old}.")
        why = words.format(new=after.name, db=number(rise, 1), old=before.name)
        return Doubt("gain_db", gain, like, why)
    words = _(
        "With {new} the channel is {db} dB quieter than with {old}: as loud as before at {gain} dB "
        "of gain."
    )
    why = words.format(new=after.name, db=number(-rise, 1), old=before.name, gain=number(like))
    # A quieter channel harms nobody: the gain stays, and how far it comes up is for ears.
    return Doubt("gain_db", gain, gain, why)


def open_swaps(
    before: Snapshot, after: Snapshot, devices: Mapping[str, Pickup], stated: Stated
) -> list[Swap]:
    """The inputs whose device differs between two states, with what nobody has decided.

    `stated` names for each part the fields that somebody set knowingly. Inputs that are new have
    nothing that was set for another device. `devices` by id.
    """
    swaps = []
    for part, fields in after.items():
        old = before.get(part)
        if fields.get("kind") != "input" or old is None or not _is_at_stake(old, fields):
            continue
        one, two = (devices.get(str(each.get("device"))) for each in (old, fields))
        decided = stated.get(part, ())
        open_ones = doubts(one, two, channel(old), channel(fields), decided)
        if open_ones:
            name = str(fields.get("name", ""))
            swaps.append(Swap(part, name, _called(one), _called(two), open_ones))
    return swaps


def _is_at_stake(old: Mapping[str, Value], new: Mapping[str, Value]) -> bool:
    """Whether the device is another, or phantom power comes on, as when a state is restored."""
    # Not phantom power that goes off, which can harm no device.
    comes_on = new.get("phantom") is True and old.get("phantom") is not True
    return old.get("device") != new.get("device") or comes_on


def channel(fields: Mapping[str, Value]) -> Channel:
    """The channel of an input, from its fields in a snapshot."""
    pad, gain = fields.get("pad_db"), fields.get("gain_db")
    return Channel(
        fields.get("phantom") is True,
        0.0 if pad is None else float(pad),
        None if gain is None else float(gain),
        fields.get("pad_at") == "device",
        fields.get("ground_lift") is True,
    )


def _called(device: Pickup | None) -> str:
    return device.name if device is not None else _("nothing")


def safe_values(swaps: Iterable[Swap]) -> dict[str, dict[str, bool | str]]:
    """The safe values of all swaps, by part and field."""
    return {swap.part: swap.safe for swap in swaps}
