"""A drum kit from above: where drums and microphones are, measured from the snare's centre.

Metres to the right of the snare's centre and in front of it, as the drummer sits, both along a
level tape. What was not measured has no place: it is named beside the plan and never drawn.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from core.languages.words import all_of
from core.units import METRES_PER, Length
from rigs.checks.pairs import SIDES, pairs
from rigs.checks.points import point
from rigs.drawing.placement import is_microphone
from rigs.gear import Gear
from rigs.wording.lengths import length_in, length_text, signed_length
from rigs.wording.unit_views import UnitView
from rigs.wording.views import InputView, RigView

_LYING = re.compile(r"\b(?:kick|bass drum)\b", re.IGNORECASE)
# To what a length that was worked out from two readings of a tape is rounded, in each unit.
_STEP = {"mm": "1", "cm": "0.1", "m": "0.01", "in": "0.1", "ft": "0.01"}


class OfAKit(Protocol):
    """A drum or cymbal, as a view or as the part itself."""

    @property
    def name(self) -> str: ...

    @property
    def traits(self) -> Gear: ...


@dataclass(frozen=True, slots=True)
class Drum:
    """A drum or cymbal that is placed: metres, and its diameter where that is stated."""

    unit: OfAKit
    right: float
    front: float
    diameter: float | None
    depth: float | None = None

    @property
    def lies(self) -> bool:
        """Whether the drum stands on its shell, as a kick does.

        Seen from above it is then as wide as its head and as long as its shell is deep. It is
        recognised by its name.
        """
        return bool(_LYING.search(self.unit.name))

    @property
    def size(self) -> tuple[float, float] | None:
        """Right and front, in metres; None where what it takes is not stated."""
        if self.diameter is None or (self.lies and self.depth is None):
            return None
        return self.diameter, (self.depth or 0.0) if self.lies else self.diameter


@dataclass(frozen=True, slots=True)
class Mic:
    """A microphone that is placed. `plan` is how far it is from the snare's centre in plan, in
    metres; `tape` the straight distance from there, None where it was measured from elsewhere."""

    entry: InputView
    key: str  # what the plan calls it: its channel, or a letter
    right: float
    front: float
    unit: str  # of length, as the crew wrote it
    tape: float | None = None

    @property
    def name(self) -> str:
        return self.entry.name

    @property
    def plan(self) -> float:
        return math.hypot(self.right, self.front)

    @property
    def plan_length(self) -> Length:
        """`plan` in the crew's unit, to as many places as it is worth."""
        return worked_out(self.plan, self.unit)

    @property
    def right_length(self) -> Length | None:
        return length_in(self.entry, "plan_right")

    @property
    def front_length(self) -> Length | None:
        return length_in(self.entry, "plan_front")

    @property
    def plan_text(self) -> str:
        return length_text(self.plan_length)

    @property
    def right_text(self) -> str:
        return self._right(both=True)

    @property
    def front_text(self) -> str:
        return self._front(both=True)

    @property
    def place(self) -> str:
        """“52 cm left, 17 cm in front”, in the crew's own unit alone."""
        return f"{self._right(both=False)}, {self._front(both=False)}"

    def _right(self, *, both: bool) -> str:
        return signed_length(
            self.right_length, pgettext("side", "right"), pgettext("side", "left"), both=both
        )

    def _front(self, *, both: bool) -> str:
        return signed_length(
            self.front_length, pgettext("side", "in front"), pgettext("side", "behind"), both=both
        )

    @property
    def short_plan(self) -> str:
        return length_text(self.plan_length, both=False)

    @property
    def short_tape(self) -> str:
        return length_text(self.tape_length, both=False)

    @property
    def tape_length(self) -> Length | None:
        return self.entry.distance if self.tape is not None else None

    @property
    def tape_text(self) -> str:
        return length_text(self.tape_length)

    @property
    def problem(self) -> str:
        # A straight line is never shorter than its plan; a micrometre is left for rounding.
        if self.tape is None or self.tape >= self.plan - 1e-6:
            return ""
        return _(
            "{input}: the tape straight to it ({tape}) is shorter than its distance in plan "
            "({plan}). One of them was misread."
        ).format(input=self.entry.label, tape=self.tape_text, plan=self.plan_text)


@dataclass(frozen=True, slots=True)
class Kit:
    drums: tuple[Drum, ...] = ()
    mics: tuple[Mic, ...] = ()
    lacking: tuple[str, ...] = ()  # drums and microphones whose place was not measured
    pairs: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    @property
    def is_drawn(self) -> bool:
        return bool(self.mics or self.drums)


def kit_of(view: RigView) -> Kit:
    """What is known of the kit in `view`; nothing for a rig without a drum."""
    if not view.has_drums:
        return Kit()
    units = [unit for unit in view.units if unit.traits.of_a_kit]
    own = {unit.id for unit in units}
    heard = [
        entry
        for entry in view.inputs
        if is_microphone(entry) and (own.intersection(entry.units) or _is_placed(entry))
    ]
    placed = [entry for entry in heard if _is_placed(entry)]
    tapes = _tapes(view, heard)
    mics = tuple(_mics(placed, tapes))
    lacking = [unit.name for unit in units if not _is_placed(unit)]
    lacking += [entry.label for entry in heard if not _is_placed(entry)]
    return Kit(
        drums=tuple(_drum(unit) for unit in units if _is_placed(unit)),
        mics=mics,
        lacking=tuple(lacking),
        pairs=tuple(_pairs(heard, {mic.entry.id: mic for mic in mics}, tapes)),
        problems=tuple(mic.problem for mic in mics if mic.problem),
    )


def _is_placed(part: UnitView | InputView) -> bool:
    return part.plan_right_m is not None and part.plan_front_m is not None


def _drum(unit: UnitView) -> Drum:
    facts = {fact.key: float(fact.value) for fact in unit.facts}
    return Drum(
        unit,
        float(unit.plan_right_m or 0),
        float(unit.plan_front_m or 0),
        facts.get("diameter"),
        facts.get("shell_depth"),
    )


def _mics(placed: list[InputView], tapes: Mapping[str, float]) -> Iterator[Mic]:
    """The microphones that are placed, by channel; a letter stands in where there is no channel
    or another microphone has it.
    """
    used: set[str] = set()
    letters = (chr(ord("a") + n % 26) * (n // 26 + 1) for n in range(len(placed)))
    for entry in placed:
        key = str(entry.number) if entry.number is not None else ""
        if not key or key in used:
            key = next(letters)
        used.add(key)
        right, front = float(entry.plan_right_m or 0), float(entry.plan_front_m or 0)
        unit = entry.plan_right_unit
        yield Mic(entry, key, right, front, unit, tapes.get(entry.id))


def _tapes(view: RigView, heard: Iterable[InputView]) -> dict[str, float]:
    """Metres straight from the snare's centre, by the id of what was measured from there."""
    names = {unit.id: unit.name for unit in view.units}
    zero = point("snare centre", "", names)
    return {
        entry.id: float(entry.distance_m)
        for entry in heard
        if entry.distance_m is not None
        and zero is not None
        and point(entry.reference_point, entry.unit or "", names) == zero
    }


def worked_out(metres: float, unit: str) -> Length:
    """A length that was worked out, in the crew's unit and to as many places as it is worth."""
    unit = unit if unit in METRES_PER else "cm"
    shown = (Decimal(str(metres)) / METRES_PER[unit]).quantize(Decimal(_STEP[unit]))
    return Length(shown * METRES_PER[unit], unit)


def _pairs(
    heard: Iterable[InputView], placed: Mapping[str, Mic], tapes: Mapping[str, float]
) -> Iterator[str]:
    """Overheads are set equally far from the snare (common practice): both distances, side by
    side. Tapes that run straight are compared with each other, else distances in plan."""
    for left, right in pairs(heard, SIDES):
        both = all_of((left.name, right.name))
        straight = tapes.get(left.id), tapes.get(right.id)
        if straight[0] is not None and straight[1] is not None:
            distance = _difference_text(abs(straight[0] - straight[1]), left.distance_unit)
            yield _(
                "{both}: {left} and {right} straight from the snare’s centre, {difference}."
            ).format(
                both=both,
                left=left.distance_text,
                right=right.distance_text,
                difference=distance,
            )
        elif left.id in placed and right.id in placed:
            a, b = placed[left.id], placed[right.id]
            distance = _difference_text(abs(a.plan - b.plan), a.unit)
            yield _(
                "{both}: {left} and {right} from the snare’s centre in plan, {difference}."
            ).format(both=both, left=a.plan_text, right=b.plan_text, difference=distance)


def _difference_text(metres: float, unit: str) -> str:
    if metres <= 1e-6:
        return _("no difference")
    return _("{length} apart").format(length=length_text(worked_out(metres, unit)))
