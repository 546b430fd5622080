"""What stands on a stage, with its place in metres and in words. Pure.

Metres to stage right of the centre line and upstage of the front edge, as in `rigs.models.plot`;
`Plan` leads from the plan of a kit, whose front points the other way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from core.languages.words import number
from core.units import Length, format_length
from rigs.drawing.kit import worked_out
from rigs.plot.facing import facing_words, turned
from rigs.plot.words import OfThing, placed_words, size_words


class What(StrEnum):
    """The kinds of things, in the order in which they are drawn and listed; headings of lists."""

    RISER = gettext_noop("Risers")
    UNIT = gettext_noop("Amplifiers, keyboards and other gear")
    DRUM = gettext_noop("Drums and cymbals")
    BOX = gettext_noop("Boxes")
    MONITOR = gettext_noop("Monitors")
    STAND = gettext_noop("Microphones")
    MAINS = gettext_noop("Mains")
    PLAYER = gettext_noop("Players")

    @property
    def heading(self) -> str:
        return _(self.value)

    @property
    def explained(self) -> str:
        """One of them, in the legend."""
        return _(LEGEND[self])


# Words of the legend, for one of each.
LEGEND: Mapping[What, str] = {
    What.RISER: gettext_noop("riser"),
    What.UNIT: gettext_noop("gear"),
    What.DRUM: gettext_noop("drum, cymbal"),
    What.BOX: gettext_noop("box with ways"),
    What.MONITOR: gettext_noop("monitor"),
    What.STAND: gettext_noop("microphone"),
    What.MAINS: gettext_noop("mains"),
    What.PLAYER: gettext_noop("player"),
}


class Spot(NamedTuple):
    """A place on the stage, as it was written."""

    right: Length
    up: Length

    @property
    def metres(self) -> tuple[float, float]:
        return float(self.right.metres), float(self.up.metres)

    @property
    def words(self) -> str:
        return placed_words(self)

    # As the columns of a model, for whatever says a place in words.
    @property
    def right_m(self) -> Decimal:
        return self.right.metres

    @property
    def right_unit(self) -> str:
        return self.right.unit

    @property
    def up_m(self) -> Decimal:
        return self.up.metres

    @property
    def up_unit(self) -> str:
        return self.up.unit


def spot_of(row: Any) -> Spot | None:
    """The place that a row says (rigs.models.plot.OnStage)."""
    if row is None or row.right_m is None or row.up_m is None:
        return None
    return Spot(
        Length(Decimal(row.right_m), row.right_unit), Length(Decimal(row.up_m), row.up_unit)
    )


class Size(NamedTuple):
    """What it takes across the stage, and from its front to its back."""

    width: Length
    depth: Length

    @property
    def metres(self) -> tuple[float, float]:
        return float(self.width.metres), float(self.depth.metres)


def size_of(row: Any) -> Size | None:
    # A drop of mains takes no room.
    if not getattr(row, "width_m", None) or not row.depth_m:
        return None
    return Size(
        Length(Decimal(row.width_m), row.width_unit), Length(Decimal(row.depth_m), row.depth_unit)
    )


@dataclass(frozen=True, slots=True)
class Plan:
    """Where the zero of a kit's plan, the snare's centre, is on the stage; `anchor` is the key of
    the thing that it goes with, and `faces` where the drummer looks (rigs.plot.facing)."""

    right: Decimal
    up: Decimal
    faces: int = 0
    anchor: str = ""

    def spot(self, right: Decimal, front: Decimal, unit: str) -> Spot:
        """Right as the drummer sits is stage right, in front of the snare downstage, where the
        drummer faces the audience.

        To the hundredth of a metre or foot, which is more than anybody places a kit by.
        """
        shown = "ft" if unit in ("in", "ft") else "m"
        across, up = turned(float(right), float(front), self.faces)
        return Spot(*(worked_out(each, shown) for each in self._from(across, up)))

    def _from(self, across: float, up: float) -> tuple[float, float]:
        return float(self.right) + across, float(self.up) + up


def plan_through(
    spot: Spot, right: Decimal, front: Decimal, faces: int = 0, anchor: str = ""
) -> Plan:
    """The plan in which what is at `spot` stands at `right` and `front`."""
    across, up = (Decimal(str(each)) for each in turned(float(right), float(front), faces))
    return Plan(spot.right.metres - across, spot.up.metres - up, faces, anchor)


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing; without a `spot` it is not placed yet. `key` names it on forms and drawings.

    `said` is what is written of its place elsewhere, `more` what else is to be known. What
    `follows` another, by its key, has no place of its own, as the drums of a kit. `faces` are
    degrees (rigs.plot.facing). `usual` are the words for all shows where this one differs.
    """

    key: str
    what: What
    name: str
    spot: Spot | None = None
    size: Size | None = None
    mark: str = ""  # on the drawing, where the name would be too long
    whose: str = ""
    height: str = ""
    said: str = ""
    more: tuple[str, ...] = ()
    round: bool = False
    follows: str = ""
    sized: bool = False  # its size can be said with its place
    turns: bool = False  # which way it faces can be said
    faces: int | None = None
    usual: str = ""

    @property
    def moves(self) -> bool:
        return not self.follows

    @property
    def place(self) -> str:
        """“2 m stage left, 3 m upstage, faces upstage”."""
        facing = facing_words(self.faces) if self.turns else ""
        return placed(self.spot, facing)

    @property
    def measures(self) -> str:
        """“2 m wide, 1 m deep, 40 cm high”."""
        if self.size is None:
            return self.height
        if self.round and self.size.width == self.size.depth:
            return _("{length} across").format(length=format_length(*self.size.width))
        flat = _Flat(*self.size.width, *self.size.depth)
        return _(", ").join(filter(None, [size_words(flat), self.height]))


def placed(row: Any, facing: str) -> str:
    """Where a thing is and which way it faces; empty where it has no place."""
    place = placed_words(row) if row is not None else ""
    faces = OfThing.FACES.said(direction=facing) if place and facing else ""
    return _(", ").join(filter(None, [place, faces]))


class _Flat(NamedTuple):
    width_m: Decimal
    width_unit: str
    depth_m: Decimal
    depth_unit: str


@dataclass(frozen=True, slots=True)
class StagePlot:
    """A stage with what stands on it; `width` and `depth` in metres, as said where `is_said`.

    `runs` are pairs of keys of boxes, the first plugged into the second. `absent` are the players
    who do not play, `lent` what is shared with another act.
    """

    width: float
    depth: float
    is_said: bool
    words: str = ""
    size: str = ""
    things: tuple[Thing, ...] = ()
    runs: tuple[tuple[str, str], ...] = ()
    absent: tuple[str, ...] = ()
    lent: tuple[str, ...] = field(default=())

    @property
    def placed(self) -> list[Thing]:
        return [thing for thing in self.things if thing.spot is not None]

    @property
    def unplaced(self) -> list[Thing]:
        return [thing for thing in self.things if thing.spot is None]

    @property
    def movable(self) -> list[Thing]:
        return [thing for thing in self.things if thing.moves]

    @property
    def groups(self) -> list[tuple[What, list[Thing]]]:
        """What is placed, kind by kind."""
        found = [(what, [thing for thing in self.placed if thing.what is what]) for what in What]
        return [(what, things) for what, things in found if things]

    @property
    def problems(self) -> list[str]:
        """What does not stand on the stage as large as it is said to be, in sentences."""
        return list(self._problems())

    def _problems(self) -> Iterator[str]:
        for thing in self.placed if self.is_said else ():
            if (over := self._over(thing)) > 0.005:
                yield _("{thing} stands {metres} m over the edge of this stage.").format(
                    thing=thing.name, metres=number(over, 2)
                )

    def _over(self, thing: Thing) -> float:
        """By how many metres the furthest edge of a thing is outside the stage."""
        left, right, front, back = bounds(thing)
        half = self.width / 2
        return max(-half - left, right - half, -front, back - self.depth)


def bounds(thing: Thing) -> tuple[float, float, float, float]:
    """The least and the most to stage right, the least and the most upstage, in metres."""
    assert thing.spot is not None  # noqa: S101 - only what is placed is asked
    right, up = thing.spot.metres
    wide, deep = reach(thing)
    return right - wide, right + wide, up - deep, up + deep


def reach(thing: Thing) -> tuple[float, float]:
    """How far it reaches from its middle to either side and up or down the stage, in metres."""
    if thing.size is None:
        return 0.0, 0.0
    wide, deep = thing.size.metres
    corners = [turned(wide / 2, ahead / 2, thing.faces or 0) for ahead in (deep, -deep)]
    return max(abs(right) for right, _ in corners), max(abs(up) for _, up in corners)


def stage_for(things: Sequence[Thing]) -> tuple[float, float]:
    """A width and depth for what is placed, where nobody said how large the stage is."""
    all_bounds = [bounds(thing) for thing in things if thing.spot is not None]
    wide = max((max(-left, right) for left, right, _, _ in all_bounds), default=0.0)
    deep = max((back for _, _, _, back in all_bounds), default=0.0)
    # Room to spare, and never smaller than a small stage: common practice, no source.
    return max(8.0, 2 * (wide + 0.5)), max(6.0, deep + 0.5)
