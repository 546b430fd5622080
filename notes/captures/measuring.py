"""What two clips say of each other, beside what the tape measure says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
from django.core.cache import cache
from numpy.typing import NDArray

from notes.captures.placing import Place, air_of, place_of
from notes.clips.reading import start_of
from notes.listening import delay, summing
from notes.listening.compare import in_words
from notes.listening.delay import Delay, delay_between
from notes.listening.samples import Samples
from notes.models import Clip
from rigs.checks.arrivals import Predicted, agree, predicted
from rigs.checks.bench import ASSUMED_CELSIUS
from rigs.checks.paths import stated_delay
from rigs.signal.air import speed_of_sound
from rigs.signal.combs import nulls

T = TypeVar("T")
LONGEST_S = 20.0
LEAST_APART_S = 0.000005  # what two decimals of a millisecond can show
TOLD = 4  # changes of the sum in words
REACH_S = 0.05  # 17 m of air: further apart than anything on one stage
_KEPT_S = 60 * 60 * 24 * 30


class CannotMeasure(Exception):
    """The two clips cannot be set against each other; the message says why."""


@dataclass(frozen=True)
class Measured:
    """Positive seconds: the second capture is later. `adds` is what aligning makes of their sum.

    `celsius` None: nobody stated the air. `through_desk`: recorded behind the desk's switches.
    """

    first: Clip
    second: Clip
    found: Delay
    place: Place
    celsius: float | None
    through_desk: bool = False
    adds: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))

    @property
    def is_sure(self) -> bool:
        return self.found.is_sure

    @property
    def clips(self) -> tuple[Clip, Clip]:
        return self.first, self.second

    @property
    def rival(self) -> float:
        """How well the next best delay fits against this one, 0 to 1."""
        return 1 - self.found.confidence

    @property
    def source_polarity(self) -> int:
        """Ahead of the desk's switches."""
        turned = self.through_desk and self.place.was_switched
        return self.found.polarity * (-1 if turned else 1)

    @property
    def inverted(self) -> bool:
        """Whether they pull against each other with the desk's switches as they are set now."""
        return self.source_polarity * (-1 if self.place.is_switched else 1) < 0

    @property
    def later(self) -> Clip:
        return self.second if self.found.delay_s >= 0 else self.first

    @property
    def earlier(self) -> Clip:
        return self.first if self.found.delay_s >= 0 else self.second

    @property
    def apart_ms(self) -> float:
        return abs(self.found.delay_s) * 1000

    @property
    def air(self) -> float:
        return ASSUMED_CELSIUS if self.celsius is None else self.celsius

    @property
    def metres(self) -> float:
        return abs(self.found.delay_s) * float(speed_of_sound(self.air))

    @property
    def is_apart(self) -> bool:
        return abs(self.found.delay_s) >= LEAST_APART_S

    @property
    def metres_words(self) -> str:
        return f"{self.metres * 100:.0f} cm"

    @property
    def first_notch_hz(self) -> float | None:
        if not self.is_apart:
            return None
        notches = nulls(abs(self.found.delay_s), inverted=self.inverted)
        above = [float(hz) for hz in notches if hz > 0]
        return above[0] if above else None

    @cached_property
    def tape(self) -> Predicted:
        if self.through_desk and stated_delay(self.place.first, self.place.second) is not None:
            return Predicted(None, "it was recorded behind a delay that the desk is set to")
        return predicted(self.place.first, self.place.second, float(speed_of_sound(self.air)))

    @property
    def predicted_ms(self) -> float:
        """By how much the clip that sounds later should be later."""
        by_tape = self.tape.seconds or 0.0
        return (by_tape if self.found.delay_s >= 0 else -by_tape) * 1000

    @property
    def differ_ms(self) -> float:
        return abs(self.found.delay_s - (self.tape.seconds or 0.0)) * 1000

    @property
    def agrees(self) -> bool | None:
        """Whether sound and tape say the same; None where one of them says nothing."""
        if self.tape.seconds is None or not self.is_sure:
            return None
        return agree(self.found.delay_s, self.tape.seconds)

    @property
    def adds_words(self) -> list[str]:
        """What aligning does to the sum of the two: the largest of it."""
        return in_words(self.adds)[:TOLD] if self.is_sure else []

    @property
    def words(self) -> str:
        """The measurement in one sentence, as it goes into a note."""
        if not self.is_sure:
            return "Nothing in the two says for certain how far apart they are."
        told = in_a_sentence(
            self.first, self.second, self.found.delay_s, self.found.polarity, self.metres_words
        )
        return f"Measured from clips: {told}"


def in_a_sentence(first: Clip, second: Clip, delay_s: float, polarity: int, air: str = "") -> str:
    """“Bass mic comes 0.58 ms after Bass DI (20 cm of air), polarity alike.”"""
    way = "polarity opposed" if polarity < 0 else "polarity alike"
    if abs(delay_s) < LEAST_APART_S:
        return f"both arrive together, {way}."
    late, early = (second, first) if delay_s > 0 else (first, second)
    of_air = f" ({air} of air)" if air else ""
    apart = abs(delay_s) * 1000
    return f"{late.input.name} comes {apart:.2f} ms after {early.input.name}{of_air}, {way}."


def measure(first: Clip, second: Clip, *, through_desk: bool = False) -> Measured:
    """Clips of two inputs of one rig, recorded together. Raises CannotMeasure."""
    if first.rig_id != second.rig_id or first.input_id == second.input_id:
        raise CannotMeasure("Take clips of two different inputs of one rig.")
    if first.sound.rate_hz != second.sound.rate_hz:
        raise CannotMeasure("They have different sample rates, so they were not recorded together.")
    heard = _Pair(first, second)
    try:
        found = heard.delay()
        bare = Measured(first, second, found, place_of(first, second), air_of(first), through_desk)
        if not found.is_sure:
            return bare
        return replace(bare, adds=heard.adds(found, found.polarity * (-1 if bare.inverted else 1)))
    except FileNotFoundError:
        raise CannotMeasure("The sound of one of them is missing from the storage.") from None
    except ValueError as error:
        raise CannotMeasure(f"They cannot be aligned: {error}.") from None


class _Pair:
    """Reads both sounds once, and only where what follows from their bytes is not kept yet."""

    def __init__(self, first: Clip, second: Clip) -> None:
        self._clips = (first, second)
        self._rate = first.sound.rate_hz
        # Both recordings began together; how much later the second was cut from it is no delay.
        self._cut_s = float(second.starts_s - first.starts_s)

    def delay(self) -> Delay:
        def found() -> Delay:
            heard = delay_between(*self._sounds, self._rate, REACH_S, near_s=-self._cut_s)
            return replace(heard, delay_s=heard.delay_s + self._cut_s)

        return self._kept(f"{delay.METHOD}/{self._cut_s}", found)

    def adds(self, found: Delay, as_added: int) -> NDArray[np.float64]:
        return self._kept(
            f"{summing.METHOD}/{delay.METHOD}/{self._cut_s}/{as_added}",
            lambda: summing.aligning_adds(
                *self._sounds,
                self._rate,
                found.delay_s - self._cut_s,
                found.polarity,
                as_added=as_added,
            ),
        )

    @cached_property
    def _sounds(self) -> tuple[Samples, Samples]:
        frames = round(LONGEST_S * self._rate)
        one, other = (start_of(clip, frames) for clip in self._clips)
        return one, other

    def _kept(self, method: str, work_out: Callable[[], T]) -> T:
        key = "/".join(["captures", method, *(clip.working for clip in self._clips)])
        found = cache.get(key)
        if found is None:
            found = work_out()
            cache.set(key, found, _KEPT_S)
        return found  # type: ignore[no-any-return]
