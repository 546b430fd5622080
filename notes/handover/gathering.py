"""What a handover says of each rig, fetched for all rigs at once, sorted by rig."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar
from uuid import UUID

from django.db.models import F

from notes.handover.period import Period
from notes.models import Alternative, Note, Trial
from notes.published.sheet import cautions_of
from notes.queries import for_cards
from notes.signing.since import NONE, Since, since
from notes.signing.states import Standing, standings
from notes.states import unsettled
from rigs.checks.acceptance import Told, told
from rigs.checks.panels import shown
from rigs.models import Input, Revision, Rig
from rigs.revisions.many import as_of_many
from rigs.wording import snapshot_views

T = TypeVar("T")
LIMIT = 40  # of each list of a rig; more would not be read


@dataclass(frozen=True, slots=True)
class Some(Generic[T]):
    """The first of a list, and how many more there are."""

    rows: list[T]
    more: int

    @classmethod
    def of(cls, rows: list[T]) -> Some[T]:
        return cls(rows[:LIMIT], max(0, len(rows) - LIMIT))


@dataclass(frozen=True, slots=True)
class RigSheet:
    """One rig in a handover."""

    rig: Rig
    standing: Standing
    changed_at: datetime  # its newest change
    is_new: bool  # written down since the previous leg began
    since: Since
    tried: Some[Alternative]
    open_notes: Some[Note]
    open_trials: list[Trial]
    inputs: list[Input]
    cautions: list[dict[str, str]]
    findings: list[Told]  # open ones; what was accepted or could not be checked is left out


def sheets(rigs: list[Rig], period: Period) -> dict[UUID, RigSheet]:
    """A sheet for each rig, in a number of queries that does not depend on how many there are."""
    ids = [rig.pk for rig in rigs]
    standing, changed = standings(rigs), since(rigs, period.known(ids))
    newest = dict(
        Revision.objects.filter(rig__in=ids, number=F("rig__head_number")).values_list("rig", "at")
    )
    tried, notes = _by_rig(_rejected(ids), _of_trial), _by_rig(_open_notes(ids), _own)
    trials, inputs = _by_rig(_open_trials(ids), _own), _by_rig(_inputs(ids), _own)
    states, found = as_of_many({rig.pk: rig.head_number for rig in rigs}), told(rigs)
    views = snapshot_views({rig: states[rig.pk] for rig in rigs})
    return {
        rig.pk: RigSheet(
            rig=rig,
            standing=standing[rig.pk],
            changed_at=newest[rig.pk],
            is_new=period.previous is not None and period.covers(rig.made_at),
            since=changed.get(rig.pk, NONE),
            tried=Some.of(tried[rig.pk]),
            open_notes=Some.of(notes[rig.pk]),
            open_trials=trials[rig.pk],
            inputs=inputs[rig.pk],
            cautions=cautions_of(views[rig]),
            findings=shown(found[rig.pk]).open,
        )
        for rig in rigs
    }


def _by_rig(rows: Iterable[T], rig_of: Callable[[T], UUID]) -> dict[UUID, list[T]]:
    found: dict[UUID, list[T]] = defaultdict(list)
    for row in rows:
        found[rig_of(row)].append(row)
    return found


def _own(row: Note | Trial | Input) -> UUID:
    return row.rig_id


def _of_trial(row: Alternative) -> UUID:
    return row.trial.rig_id


def _rejected(rigs: list[UUID]) -> Iterable[Alternative]:
    found = Alternative.objects.filter(
        trial__rig__in=rigs, verdict=Alternative.Verdict.REJECTED
    ).select_related("device", "trial__input", "trial__song")
    return found.order_by("-trial__opened_at", "trial", "position")


def _open_notes(rigs: list[UUID]) -> Iterable[Note]:
    return for_cards(unsettled(Note.objects.filter(rig__in=rigs)))


def _open_trials(rigs: list[UUID]) -> Iterable[Trial]:
    return Trial.objects.filter(rig__in=rigs, decided_at=None).select_related("input")


def _inputs(rigs: list[UUID]) -> Iterable[Input]:
    found = Input.objects.filter(rig__in=rigs, retired=False).select_related("device")
    return found.order_by("position", "number", "pk")
