"""Where the inputs of clips stood when these were recorded, and what has been moved since."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from django.db.models import prefetch_related_objects

from notes.models import Clip
from rigs.changes.edits import Snapshot
from rigs.changes.reasons import ReasonKind
from rigs.checks.bench import BenchDevice, BenchInput
from rigs.checks.build import build
from rigs.checks.load import devices_of
from rigs.fields import rows_of
from rigs.models import ChangeRow
from rigs.revisions.many import states_of


class Stood(NamedTuple):
    """The input of a clip as it was when recorded and as it is now; None in a state that lacks it.

    `moved_in` is the change that moved it since; what was only corrected on paper is no move.
    """

    clip: Clip
    was: BenchInput | None
    now: BenchInput | None
    moved_in: int | None

    def counts(self, *, moved: bool | None = None) -> BenchInput:
        """As it counts against the tape: as it was recorded where it was moved since (`moved` says
        so of several at once), otherwise as it is written down now."""
        was_moved = self.moved_in is not None if moved is None else moved
        known = (self.was or self.now) if was_moved else (self.now or self.was)
        # For a part that neither state has: nothing is known of where it stood.
        return known or BenchInput(str(self.clip.input_id), self.clip.input.name)


class PairPlacement(NamedTuple):
    """Two inputs as they count against the tape, and the switches of polarity then and now.

    `moved_in` is the change that moved one of them since.
    """

    first: BenchInput
    second: BenchInput
    was_switched: bool
    is_switched: bool
    moved_in: int | None


def stood(recorded: Sequence[tuple[Clip, int]]) -> list[Stood]:
    """Where each clip's input stood; clips of one rig, each with the number of the change at which
    it was recorded. Four queries, and two for what was tried where that is not loaded."""
    prefetch_related_objects([clip for clip, _ in recorded], "tried_as__alternative")
    rig = recorded[0][0].rig
    moves = Moves.of((clip.input_id, number) for clip, number in recorded)
    numbers = {rig.head_number, *(number for _, number in recorded)}
    states = states_of((rig, number) for number in numbers)
    devices = devices_of([rig.production_id])
    now = states[rig.pk, rig.head_number]
    return [
        Stood(
            clip,
            _entry(clip, states[rig.pk, number], devices),
            _entry(clip, now, devices),
            moves.since(number, clip.input_id),
        )
        for clip, number in recorded
    ]


def place_of(first: Clip, second: Clip) -> PairPlacement:
    """Where the inputs of two clips stood, and stand now. Four queries."""
    since = recorded_at(first, second)
    both = stood([(first, since), (second, since)])
    moved = min((each.moved_in for each in both if each.moved_in is not None), default=None)
    one, other = (each.counts(moved=moved is not None) for each in both)
    return PairPlacement(
        one,
        other,
        _switched(each.was or each.now for each in both),
        _switched(each.now or each.was for each in both),
        moved,
    )


def recorded_at(first: Clip, second: Clip) -> int:
    """The number of the change at which both were recorded: the earlier one, where they differ."""
    return min(first.revision.number, second.revision.number)


@dataclass(frozen=True, slots=True)
class Moves:
    """Numbers of the changes that moved inputs, in order."""

    numbers: Mapping[UUID, list[int]]

    @classmethod
    def of(cls, recorded: Iterable[tuple[UUID, int]]) -> Moves:
        """The moves of inputs, each given with the change at which it was recorded.

        One query; none without any.
        """
        since = list(recorded)
        by_input: dict[UUID, list[int]] = defaultdict(list)
        if since:
            rows = ChangeRow.objects.filter(
                part__in={part for part, _ in since},
                kind="input",
                # Another one of these, and the sound arrives at another moment.
                field__in=[row.name for row in rows_of("input") if row.moves_arrival],
                revision__number__gt=min(number for _, number in since),
            ).exclude(revision__reason_kind=ReasonKind.CORRECTION)
            for part, number in rows.order_by("revision__number").values_list(
                "part", "revision__number"
            ):
                by_input[part].append(number)
        return cls(by_input)

    def since(self, number: int, *inputs: UUID) -> int | None:
        """The first change after `number` that moved one of them."""
        later = (n for part in inputs for n in self.numbers.get(part, ()) if n > number)
        return min(later, default=None)


def air_of(clip: Clip) -> float | None:
    """The temperature of the rehearsal room, °C; None where nobody stated it."""
    room = getattr(clip.production, "rehearsal_room", None)
    if room is None or room.temperature_c is None:
        return None
    return float(room.temperature_c)


def _entry(clip: Clip, state: Snapshot, devices: Mapping[str, BenchDevice]) -> BenchInput | None:
    """The input of a clip laid out from a state, with what was tried on it in the recording."""
    key = str(clip.input_id)
    if key not in state:
        return None
    laid = build(str(clip.rig_id), {**state, key: {**state[key], **_tried(clip)}}, devices).inputs
    return next((entry for entry in laid if entry.id == key), None)


def _tried(clip: Clip) -> dict[str, str]:
    """What an alternative of a trial had instead of the input's own; nothing where none was heard.

    A place that nobody wrote down for the alternative is not known: two cannot stand in one.
    """
    tried = getattr(clip, "tried_as", None)
    if tried is None:
        return {}
    alternative = tried.alternative
    metres = alternative.distance_m
    return {
        "device": str(alternative.device_id),
        "reference_point": alternative.reference_point,
        "distance_m": "" if metres is None else str(metres),
    }


def _switched(entries: Iterable[BenchInput | None]) -> bool:
    """Whether the two switches are set differently, so that one capture is turned over."""
    return len({entry.reversed_polarity for entry in entries if entry}) > 1
