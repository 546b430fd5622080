"""How far the reading of a published handover has come, person by person."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from core.access.loaders import Person, load_people
from core.models import User
from core.models.roles import Role
from notes.models import Acknowledgement, PublishedHandover

# Whom a handover is written for. Players and managers may read it, too; nobody waits for them.
MEANT_FOR = frozenset({Role.ENGINEER, Role.TECH, Role.CREW})


@dataclass(frozen=True, slots=True)
class Part:
    """A section as it was published."""

    key: str
    player: UUID | None
    title: str
    digest: str


@dataclass(frozen=True, slots=True)
class Cell:
    """Whether somebody has read a section: as it is now, as it was before (`is_stale`), or not."""

    part: Part
    read: Acknowledgement | None
    is_stale: bool

    @property
    def is_read(self) -> bool:
        return self.read is not None and not self.is_stale


@dataclass(frozen=True, slots=True)
class Reader:
    person: Person
    cells: list[Cell]
    is_meant: bool  # whether the handover is for them

    @property
    def done(self) -> int:
        return sum(cell.is_read for cell in self.cells)

    @property
    def unread(self) -> list[Part]:
        return [cell.part for cell in self.cells if not cell.is_read]


@dataclass(frozen=True, slots=True)
class Progress:
    published: PublishedHandover
    parts: list[Part]
    readers: list[Reader]

    def of(self, user: User) -> Reader | None:
        return next((each for each in self.readers if each.person.user == user), None)

    @property
    def awaited(self) -> list[Reader]:
        return [each for each in self.readers if each.is_meant]

    @property
    def unread_by_all(self) -> list[Part]:
        """Sections that nobody has read of those it is meant for."""
        read = {cell.part.key for each in self.awaited for cell in each.cells if cell.is_read}
        return [part for part in self.parts if part.key not in read]


def parts_of(published: PublishedHandover) -> list[Part]:
    return [
        Part(
            each["key"],
            UUID(each["player"]) if each["player"] else None,
            each["title"],
            each["digest"],
        )
        for each in published.sections
    ]


def progress_of(published: PublishedHandover) -> Progress:
    """`published` with its production loaded. Three queries."""
    parts = parts_of(published)
    readings = Readings([published])
    people = load_people(published.production)
    return Progress(
        published, parts, [_reader(each, published, parts, readings) for each in people]
    )


def _reader(
    person: Person, published: PublishedHandover, parts: Iterable[Part], readings: Readings
) -> Reader:
    meant = is_meant(published, person.user.pk, person.roles)
    cells = [readings.cell(published, person.user.pk, part) for part in parts]
    return Reader(person, cells, meant)


def is_meant(published: PublishedHandover, user: UUID, roles: Iterable[str]) -> bool:
    """Whether somebody of those roles is waited for. Whoever published it knows it."""
    return user != published.published_by_id and not MEANT_FOR.isdisjoint(roles)


class Readings:
    """What was read of some handovers, whichever of their published ones it was. Two queries.

    A section counts as read where the one that was read says the same.
    """

    def __init__(self, published: Iterable[PublishedHandover]) -> None:
        handovers = [each.handover_id for each in published]
        rows = PublishedHandover.objects.filter(handover__in=handovers).only("outline")
        self._digests = {
            row.pk: {part.player: part.digest for part in parts_of(row)} for row in rows
        }
        self._read = {
            (each.handover_id, each.user_id, each.player_id): each
            for each in Acknowledgement.objects.filter(handover__in=handovers)
        }

    def cell(self, published: PublishedHandover, user: UUID, part: Part) -> Cell:
        found = self._read.get((published.handover_id, user, part.player))
        known = self._digests.get(found.published_id, {}) if found and found.published_id else {}
        return Cell(part, found, found is not None and known.get(part.player) != part.digest)
