"""Where two inputs stood when they were recorded, and what has been moved since."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from notes.models import Clip
from rigs.changes.reasons import ReasonKind
from rigs.checks.bench import BenchInput
from rigs.checks.build import build
from rigs.checks.load import devices_of
from rigs.fields import rows_of
from rigs.models import ChangeRow
from rigs.revisions.read import as_of


class PairPlacement(NamedTuple):
    """Two inputs as they count against the tape, and the switches of polarity then and now.

    `moved_in` is the change that moved one of them since; what was only corrected on paper is no
    move. Then the inputs are as they were when recorded, otherwise as they are written down now.
    """

    first: BenchInput
    second: BenchInput
    was_switched: bool
    is_switched: bool
    moved_in: int | None


def place_of(first: Clip, second: Clip) -> PairPlacement:
    """Where the inputs of two clips stood, and stand now. Six queries at most."""
    rig, since = first.rig, recorded_at(first, second)
    ids = (first.input_id, second.input_id)
    moved = Moves.of((part, since) for part in ids).since(since, *ids)
    devices = devices_of([rig.production_id])
    then = build(str(rig.pk), as_of(rig, since), devices).inputs
    now = build(str(rig.pk), as_of(rig, rig.head_number), devices).inputs
    was = [_of(clip, then) or _of(clip, now) for clip in (first, second)]
    is_ = [_of(clip, now) or _of(clip, then) for clip in (first, second)]
    one, other = was if moved else is_
    # For a part that neither state has: nothing is known of where it stood.
    blank = [BenchInput(str(clip.input_id), clip.input.name) for clip in (first, second)]
    return PairPlacement(one or blank[0], other or blank[1], _switched(was), _switched(is_), moved)


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


def _of(clip: Clip, inputs: Iterable[BenchInput]) -> BenchInput | None:
    return next((entry for entry in inputs if entry.id == str(clip.input_id)), None)


def _switched(entries: Iterable[BenchInput | None]) -> bool:
    """Whether the two switches are set differently, so that one capture is turned over."""
    return len({entry.reversed_polarity for entry in entries if entry}) > 1
