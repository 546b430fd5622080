"""What is measured of two clips, beside what follows from distances by the tape measure."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from django.core.cache import cache
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from core.languages.words import told
from core.stored_files import StoredFileUnreadable
from notes.clips.documented import by_tape, or_assumed, tape_agrees, with_record
from notes.clips.placement import PairPlacement, air_of, place_of
from notes.clips.relation import relation_of
from notes.clips.samples import start_of
from notes.listening import summing
from notes.listening.compare import in_words
from notes.listening.relation import METHOD, Relation
from notes.listening.samples import Samples
from notes.models import Clip
from rigs.checks.paths import Predicted
from rigs.signal.air import speed_of_sound
from rigs.signal.combs import nulls

LONGEST_S = 20.0
LEAST_DELAY_S = 0.000005  # what two decimals of a millisecond can show
MOST_DESCRIBED = 4  # changes of the sum in words
_CACHED_S = 60 * 60 * 24 * 30


class CannotMeasure(Exception):
    """The two clips cannot be set against each other; the message says why."""


@dataclass(frozen=True)
class Measured:
    """Two clips measured against each other. Positive seconds: the second capture is later. `adds`
    is by how many dB aligning raises each band of their sum.

    `celsius` is None where nobody stated the air. `through_desk`: recorded behind the desk's
    switches.
    """

    first: Clip
    second: Clip
    relation: Relation
    place: PairPlacement
    celsius: float | None
    through_desk: bool = False
    adds: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))

    @property
    def is_certain(self) -> bool:
        return self.relation.is_certain

    @property
    def delay_s(self) -> float:
        """By how much the second is later, seconds. Raises ValueError where it is not sure."""
        if self.relation.delay_s is None:
            raise ValueError("the delay of these two is not known")
        return self.relation.delay_s

    @property
    def polarity(self) -> int:
        """Polarity as recorded, +1 or −1. Raises ValueError where it is not sure."""
        if self.relation.polarity is None:
            raise ValueError("the polarity of these two is not known")
        return self.relation.polarity

    @property
    def clips(self) -> tuple[Clip, Clip]:
        return self.first, self.second

    @property
    def names(self) -> tuple[str, str]:
        return self.first.input.name, self.second.input.name

    @property
    def confidence(self) -> float:
        return self.relation.best.confidence if self.relation.best else 0.0

    @property
    def rival(self) -> float:
        """How well the next best delay fits against this one, 0 to 1."""
        return 1 - self.confidence

    @property
    def alike(self) -> float:
        """The share of frequencies at which both surely hold the same sound."""
        return self.relation.best.alike if self.relation.best else 0.0

    @property
    def source_polarity(self) -> int:
        """Polarity ahead of the desk's switches, +1 or −1. Raises ValueError where not sure."""
        turned = self.through_desk and self.place.was_switched
        return self.polarity * (-1 if turned else 1)

    @property
    def inverted(self) -> bool:
        """Whether they pull against each other with the desk's switches as they are set now."""
        return self.source_polarity * (-1 if self.place.is_switched else 1) < 0

    @property
    def later(self) -> Clip:
        return self.second if self.delay_s >= 0 else self.first

    @property
    def earlier(self) -> Clip:
        return self.first if self.delay_s >= 0 else self.second

    @property
    def apart_ms(self) -> float:
        return abs(self.delay_s) * 1000

    @property
    def air(self) -> float:
        return or_assumed(self.celsius)

    @property
    def metres(self) -> float:
        return abs(self.delay_s) * float(speed_of_sound(self.air))

    @property
    def is_apart(self) -> bool:
        return abs(self.delay_s) >= LEAST_DELAY_S

    @property
    def metres_words(self) -> str:
        return Said(gettext_noop("{centimetres:.0f} cm"), centimetres=self.metres * 100)

    @property
    def first_notch_hz(self) -> float | None:
        if not self.is_apart:
            return None
        notches = nulls(abs(self.delay_s), inverted=self.inverted)
        above = [float(hz) for hz in notches if hz > 0]
        return above[0] if above else None

    @cached_property
    def tape(self) -> Predicted:
        first, second = self.place.first, self.place.second
        return by_tape(self.relation, first, second, self.celsius, through_desk=self.through_desk)

    @property
    def predicted_ms(self) -> float:
        """By how much the clip that sounds later should be later."""
        by_tape = self.tape.seconds or 0.0
        return (by_tape if self.delay_s >= 0 else -by_tape) * 1000

    @property
    def differ_ms(self) -> float:
        return abs(self.delay_s - (self.tape.seconds or 0.0)) * 1000

    @property
    def agrees(self) -> bool | None:
        """Whether sound and tape measure agree; None where one of them gives no delay."""
        if self.tape.seconds is None or not self.is_certain:
            return None
        return tape_agrees(self.relation, self.tape)

    @property
    def adds_words(self) -> list[str]:
        """What aligning does to the sum of the two: the largest of it."""
        words = in_words(self.adds)[:MOST_DESCRIBED] if self.is_certain else []
        return [told(each) for each in words]

    @property
    def words(self) -> str:
        """The measurement in one sentence, in English, as it goes into a note."""
        if doubt := self.relation.doubt:
            return doubt.sentences(self.names)
        sentence = in_a_sentence(
            self.first, self.second, self.delay_s, self.polarity, self.metres_words
        )
        return Said(gettext_noop("Measured from clips: {sentence}"), sentence=sentence)

    @property
    def told_metres(self) -> str:
        return told(self.metres_words)

    @property
    def told_remark(self) -> str:
        return told(self.relation.remark)

    @property
    def told_caution(self) -> str:
        return told(self.relation.caution)

    @property
    def told_words(self) -> str:
        """The same in the language of the reader."""
        return told(self.words)


def in_a_sentence(first: Clip, second: Clip, delay_s: float, polarity: int, air: str = "") -> str:
    """“Bass mic comes 0.58 ms after Bass DI (20 cm of air), polarity alike.”"""
    late, early = (second, first) if delay_s > 0 else (first, second)
    arrives = abs(delay_s) >= LEAST_DELAY_S
    return Said(
        _SENTENCES[arrives, bool(air and arrives), polarity < 0],
        late=late.input.name,
        early=early.input.name,
        ms=abs(delay_s) * 1000,
        air=air,
    )


# Whether one is later, whether it is told how much air that is, and whether polarity is opposed.
_SENTENCES = {
    (False, False, False): gettext_noop("both arrive together, polarity alike."),
    (False, False, True): gettext_noop("both arrive together, polarity opposed."),
    (True, False, False): gettext_noop("{late} comes {ms:.2f} ms after {early}, polarity alike."),
    (True, False, True): gettext_noop("{late} comes {ms:.2f} ms after {early}, polarity opposed."),
    (True, True, False): gettext_noop(
        "{late} comes {ms:.2f} ms after {early} ({air} of air), polarity alike."
    ),
    (True, True, True): gettext_noop(
        "{late} comes {ms:.2f} ms after {early} ({air} of air), polarity opposed."
    ),
}


def measure(first: Clip, second: Clip, *, through_desk: bool = False) -> Measured:
    """Clips of two inputs of one rig, recorded together. Raises CannotMeasure."""
    if first.rig_id != second.rig_id or first.input_id == second.input_id:
        raise CannotMeasure(_("Take clips of two different inputs of one rig."))
    # Two rates mean two recorders, whose clocks drift apart.
    if first.sound.rate_hz != second.sound.rate_hz:
        raise CannotMeasure(
            _("They have different sample rates, so they were not recorded together.")
        )
    try:
        place = place_of(first, second)
        heard = Measured(
            first, second, relation_of(first, second), place, air_of(first), through_desk
        )
        known = with_record(heard.relation, place.first, place.second, heard.tape)
        bare = replace(heard, relation=known)
        # An unsure delay must not be turned into what aligning would gain.
        return replace(bare, adds=_adds(bare)) if bare.is_certain else bare
    except StoredFileUnreadable as error:
        raise CannotMeasure(str(error)) from None


def _adds(measured: Measured) -> NDArray[np.float64]:
    """What aligning does to the sum of the two, dB per band; cached, since it follows from their
    bytes."""
    # −1 where today's switches turn one of them over against the recording.
    as_added = measured.polarity * (-1 if measured.inverted else 1)
    first, second = measured.clips
    cut_s = measured.relation.cut_s
    method = f"{summing.METHOD}/{METHOD.replace(' ', '+')}/{cut_s}/{as_added}"
    key = "/".join(["captures", method, first.working, second.working])
    adds = cache.get(key)
    if adds is None:
        adds = summing.aligning_adds(
            _beginning(first),
            _beginning(second),
            first.sound.rate_hz,
            measured.delay_s - cut_s,
            measured.polarity,
            as_added=as_added,
        )
        cache.set(key, adds, _CACHED_S)
    return adds  # type: ignore[no-any-return]


def _beginning(clip: Clip) -> Samples:
    return start_of(clip, round(LONGEST_S * clip.sound.rate_hz))
