"""The handover of a leg as one page: a general part and a section for each player.

A fixed number of queries, whatever the number of players, rigs and changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from core.access.loaders import Person, load_people
from core.models import Leg, Player, User
from notes.handover.gathering import RigSheet, sheets
from notes.handover.period import Period, period_of
from notes.handover.questions import questions_of
from notes.handover.questions import unanswered as without_answer
from notes.models import Acknowledgement, Handover, Question
from rigs.models import Rig

Read = dict[tuple[UUID, UUID | None], Acknowledgement]  # by user and player


@dataclass(frozen=True, slots=True)
class Section:
    """What concerns one player; without a player, what concerns all."""

    player: Player | None
    sheets: list[RigSheet]
    questions: list[Question]
    changed_at: datetime | None  # when something in it last changed
    mine: Acknowledgement | None  # whether the reader of the page has read it

    @property
    def key(self) -> str:
        """Names the section in addresses and ids."""
        return f"player-{self.player.pk}" if self.player else "general"

    @property
    def title(self) -> str:
        return str(self.player) if self.player else "General part"

    def stale(self, read: Acknowledgement | None) -> bool:
        """Whether something changed after it was read."""
        return bool(read and self.changed_at and read.at < self.changed_at)

    @property
    def is_stale(self) -> bool:
        return self.stale(self.mine)


@dataclass(frozen=True, slots=True)
class Cell:
    title: str
    read: Acknowledgement | None
    is_stale: bool


@dataclass(frozen=True, slots=True)
class Reader:
    """A member, and what they have read: one cell for each section."""

    person: Person
    cells: list[Cell]


@dataclass(frozen=True, slots=True)
class Page:
    leg: Leg
    handover: Handover | None  # None until somebody has written or read something
    period: Period
    general: Section
    sections: list[Section]
    readers: list[Reader]

    @property
    def all_sections(self) -> list[Section]:
        return [self.general, *self.sections]

    @property
    def questions(self) -> dict[UUID | None, list[Question]]:
        return {s.player.pk if s.player else None: s.questions for s in self.all_sections}

    @property
    def unanswered(self) -> list[Question]:
        return without_answer(q for s in self.all_sections for q in s.questions)

    @property
    def cautions(self) -> list[str]:
        lines = self.handover.cautions.splitlines() if self.handover else []
        return [line.strip() for line in lines if line.strip()]


def assemble(leg: Leg, reader: User) -> Page:
    """`leg` with its production loaded."""
    handover = Handover.objects.filter(leg=leg).first()
    period = period_of(leg)
    players = list(leg.production.players.filter(retired_at=None))
    rigs = Rig.objects.filter(production=leg.production_id, retired=False)
    by_rig = sheets(list(rigs.filter(player__in=players).select_related("player")), period)
    read, questions = _read(handover), questions_of(handover)

    def section(player: Player | None) -> Section:
        own = [s for s in by_rig.values() if player is not None and s.rig.player_id == player.pk]
        key = player.pk if player else None
        changed = [sheet.changed_at for sheet in own]
        if player is None and handover is not None:
            changed.append(handover.changed_at)
        return Section(
            player, own, questions[key], max(changed, default=None), read.get((reader.pk, key))
        )

    general, sections = section(None), [section(player) for player in players]
    readers = _readers(load_people(leg.production), [general, *sections], read)
    return Page(leg, handover, period, general, sections, readers)


def _read(handover: Handover | None) -> Read:
    found = Acknowledgement.objects.filter(handover=handover) if handover else []
    return {(each.user_id, each.player_id): each for each in found}


def _readers(people: list[Person], sections: list[Section], read: Read) -> list[Reader]:
    return [Reader(person, [_cell(person, each, read) for each in sections]) for person in people]


def _cell(person: Person, section: Section, read: Read) -> Cell:
    found = read.get((person.user.pk, section.player.pk if section.player else None))
    return Cell(section.title, found, section.stale(found))
