"""Save what was measured of two clips, take it back, and give it to the checks of rigs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from core import clock
from core.composed import Composed, Several, column
from core.models import Production, User
from notes.captures.measure import Measured, measure
from notes.clips.placement import Moves, air_of, recorded_at
from notes.listening.relation import METHOD
from notes.models import CapturePair
from rigs.models import Rig
from rigs.places import Measurement


@transaction.atomic
def save_pair(measured: Measured, *, by: User) -> CapturePair:
    """Put a measurement on record; the same clips are stored once. Raises ValidationError."""
    if not measured.is_certain:
        raise ValidationError(_("Nothing certain was measured, so there is nothing to save."))
    first, second = measured.clips
    Rig.objects.select_for_update().get(pk=first.rig_id)  # what two who press at once queue at
    # By method, too: a measurement of an older method does not stand for today's.
    there = pairs(first.production).filter(
        first=first, second=second, through_desk=measured.through_desk, method=METHOD
    )
    if saved := there.first():
        return saved
    return CapturePair.objects.create(
        production=first.production,
        rig=first.rig,
        first=first,
        second=second,
        through_desk=measured.through_desk,
        method=METHOD,
        delay_s=measured.delay_s,
        polarity=measured.polarity,
        source_polarity=measured.source_polarity,
        confidence=measured.confidence,
        alike=measured.alike,
        kept_by=by,
    )


@transaction.atomic
def take_back(pair: CapturePair, *, by: User) -> None:
    """Let a measurement count no more, for instance one of the wrong clips. It stays on record."""
    locked = CapturePair.objects.select_for_update().get(pk=pair.pk)
    if locked.taken_back_at is None:
        locked.taken_back_at, locked.taken_back_by = clock.now(), by
        locked.save(update_fields=["taken_back_at", "taken_back_by"])


def of_older_methods() -> QuerySet[CapturePair]:
    """Measurements that count and were saved by a method before today's."""
    return _counting(CapturePair.objects.exclude(method=METHOD))


def measure_again(pair: CapturePair) -> bool:
    """Whether today's method is sure of it, too; then the figures are replaced by today's.

    What the method refuses is taken back, with nobody's name, and counts no more.

    Raises CannotMeasure where a sound cannot be read; then it stays as it was.
    """
    # Before the transaction, because it takes seconds.
    measured = measure(pair.first, pair.second, through_desk=pair.through_desk)
    with transaction.atomic():
        there = CapturePair.objects.select_for_update().get(pk=pair.pk)
        if not measured.is_certain:
            there.taken_back_at = there.taken_back_at or clock.now()
        else:
            there.method = METHOD
            there.delay_s, there.polarity = measured.delay_s, measured.polarity
            there.source_polarity = measured.source_polarity
            there.confidence, there.alike = measured.confidence, measured.alike
        there.save()
    return measured.is_certain


def pairs(production: Production) -> QuerySet[CapturePair]:
    """Saved measurements that count, newest first, with what a line about one shows."""
    return _counting(CapturePair.objects.filter(production=production))


def _counting(pairs: QuerySet[CapturePair]) -> QuerySet[CapturePair]:
    return pairs.filter(
        taken_back_at=None, first__retired_at=None, second__retired_at=None
    ).select_related(
        "first__input",
        "first__sound",
        "second__input",
        "second__sound",
        "first__revision",
        "second__revision",
        "rig__player",
        "kept_by",
        "first__production__rehearsal_room",
    )


_counting_of = Composed(
    lambda rigs: _counting(CapturePair.objects.filter(rig__pk__among=rigs)), Several(column(Rig))
)


def measured_of(rigs: Sequence[Rig]) -> dict[UUID, list[Measurement]]:
    """The newest measurement of each two inputs of each rig, for the checks. Two queries."""
    newest: dict[frozenset[UUID], CapturePair] = {}
    for pair in _counting_of([rig.pk for rig in rigs]):
        # Newest first by the model's own order, and without regard to which clip was named first.
        newest.setdefault(frozenset((pair.first.input_id, pair.second.input_id)), pair)
    moved = Moves.of(
        (clip.input_id, recorded_at(pair.first, pair.second))
        for pair in newest.values()
        for clip in (pair.first, pair.second)
    )
    by_rig: dict[UUID, list[Measurement]] = defaultdict(list)
    for pair in newest.values():
        by_rig[pair.rig_id].append(_measurement(pair, moved))
    return by_rig


def _measurement(pair: CapturePair, moved: Moves) -> Measurement:
    first, second = pair.first, pair.second
    return Measurement(
        str(first.input_id),
        str(second.input_id),
        pair.delay_s,
        pair.source_polarity,
        air_of(first),
        moved.since(recorded_at(first, second), first.input_id, second.input_id),
        pair.through_desk,
    )
