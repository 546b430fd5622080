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
from notes.reading import for_cards
from notes.signing.since import NONE, Since, since
from notes.signing.states import Standing, standings
from notes.states import unsettled
from rigs.checks.accepting import Told, told
from rigs.checks.showing import shown
from rigs.gear import GEAR
from rigs.models import Input, Revision, Rig, Unit

T = TypeVar("T")
LIMIT = 40  # of each list of a rig; more would not be read


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, and the units it is about."""

    about: str
    text: str


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
    cautions: list[Caution]
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
    cautions, found = _cautions(ids), told(rigs)
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
            cautions=cautions[rig.pk],
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


def _cautions(rigs: list[UUID]) -> dict[UUID, list[Caution]]:
    """The cautions of the gear in use, each once for a rig, with the units it is about."""
    units = Unit.objects.filter(rig__in=rigs, retired=False).order_by("position", "pk")
    names: dict[UUID, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for rig, name, gear in units.values_list("rig", "name", "gear"):
        caution = GEAR[gear].caution if gear in GEAR else ""
        if caution:
            names[rig][caution].append(name)
    found: dict[UUID, list[Caution]] = defaultdict(list)
    for rig, by_text in names.items():
        found[rig] = [Caution(", ".join(about), text) for text, about in by_text.items()]
    return found
