"""How far the reading of a published handover has come, person by person."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.utils.translation import gettext_lazy

from core.access.loaders import Person, load_people
from core.composed import Composed, Several, column
from core.models import Production, User
from core.models.roles import Role
from notes.handover.content import GENERAL
from notes.models import Acknowledgement, Handover, PublishedHandover
from rigs.changes.chain import sha256

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# Whom a handover is written for. Players and managers may read it, too; nobody waits for them.
ADDRESSEE_ROLES = frozenset({Role.ENGINEER, Role.MONITORS, Role.TECH, Role.CREW})


@dataclass(frozen=True, slots=True)
class PublishedSection:
    """A section as it was published."""

    key: str
    player: UUID | None
    title: StrOrPromise
    digest: str


@dataclass(frozen=True, slots=True)
class ReadingCell:
    """Whether somebody has read a section: as it is now, as it was before (`is_stale`), or not."""

    part: PublishedSection
    read: Acknowledgement | None
    is_stale: bool

    @property
    def is_read(self) -> bool:
        return self.read is not None and not self.is_stale


@dataclass(frozen=True, slots=True)
class Reader:
    person: Person
    cells: list[ReadingCell]
    is_addressee: bool  # whether the handover is for them

    @property
    def done(self) -> int:
        return sum(cell.is_read for cell in self.cells)

    @property
    def unread(self) -> list[PublishedSection]:
        return [cell.part for cell in self.cells if not cell.is_read]

    @property
    def unread_titles(self) -> list[str]:
        return [str(part.title) for part in self.unread]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a published handover has been read, or the working copy, which has no `published`."""

    handover: Handover | None  # None until somebody has written or read something
    published: PublishedHandover | None
    parts: list[PublishedSection]
    readers: list[Reader]

    def of(self, user: User) -> Reader | None:
        return next((each for each in self.readers if each.person.user == user), None)

    @property
    def digest(self) -> str:
        """SHA-256, in hex, over the digests of all sections."""
        return sha256("".join(part.digest for part in self.parts).encode())

    @property
    def awaited(self) -> list[Reader]:
        return [each for each in self.readers if each.is_addressee]

    @property
    def unread_by_all(self) -> list[PublishedSection]:
        """Sections that nobody has read of those it is meant for."""
        read = {cell.part.key for each in self.awaited for cell in each.cells if cell.is_read}
        return [part for part in self.parts if part.key not in read]


def parts_of(published: PublishedHandover) -> list[PublishedSection]:
    return parts_from(published.sections)


def parts_from(outline: Iterable[dict[str, Any]]) -> list[PublishedSection]:
    return [
        PublishedSection(
            each["key"],
            UUID(each["player"]) if each["player"] else None,
            gettext_lazy("General part") if each["key"] == GENERAL else each["title"],
            each["digest"],
        )
        for each in outline
    ]


def progress_of(published: PublishedHandover) -> Progress:
    """`published` with its production and handover loaded. Three queries."""
    readings, parts = Readings([published]), parts_of(published)

    def cells(user: UUID) -> list[ReadingCell]:
        return [readings.cell(published, user, part) for part in parts]

    readers = [
        Reader(each, cells(each.user.pk), is_addressee(published, each.user.pk, each.roles))
        for each in load_people(published.production)
    ]
    return Progress(published.handover, published, parts, readers)


def progress_of_copy(
    production: Production, handover: Handover | None, outline: list[dict[str, Any]]
) -> Progress:
    """How far the working copy, which says now what `outline` has of it, has been read. Two queries
    at most."""
    parts = parts_from(outline)
    rows = Acknowledgement.objects.filter(handover=handover) if handover else ()
    read = {(each.user_id, each.player_id): each for each in rows}

    def cell(user: UUID, part: PublishedSection) -> ReadingCell:
        reading = read.get((user, part.player))
        return ReadingCell(part, reading, reading is not None and reading.digest != part.digest)

    readers = [
        Reader(
            each,
            [cell(each.user.pk, part) for part in parts],
            not ADDRESSEE_ROLES.isdisjoint(each.roles),
        )
        for each in load_people(production)
    ]
    return Progress(handover, None, parts, readers)


def is_addressee(published: PublishedHandover, user: UUID, roles: Iterable[str]) -> bool:
    """Whether a user with those roles is to read it. Whoever published it knows what it says."""
    # Players and managers may read it; nobody waits for them.
    return user != published.published_by_id and not ADDRESSEE_ROLES.isdisjoint(roles)


_outlines = Composed(
    lambda handovers: PublishedHandover.objects.filter(handover__pk__among=handovers).only(
        "outline"
    ),
    Several(column(Handover)),
)
_read = Composed(
    lambda handovers: Acknowledgement.objects.filter(handover__pk__among=handovers),
    Several(column(Handover)),
)


class Readings:
    """What was read of some handovers, whichever of their published ones it was. Two queries; one
    where `every` published one of them is given.

    A section counts as read where the one that was read says the same.
    """

    def __init__(
        self,
        published: Iterable[PublishedHandover],
        every: Iterable[PublishedHandover] | None = None,
    ) -> None:
        handovers = {each.handover_id for each in published}
        # Digests of sections suffice; the content may be large.
        self._digests = {
            row.pk: {part.player: part.digest for part in parts_of(row)}
            for row in (_outlines(handovers) if every is None else every)
        }
        self._read = {
            (each.handover_id, each.user_id, each.player_id): each for each in _read(handovers)
        }

    def cell(self, published: PublishedHandover, user: UUID, part: PublishedSection) -> ReadingCell:
        reading = self._read.get((published.handover_id, user, part.player))
        # A reading of the working copy, from before anything was published, counts as out of date.
        known = (
            self._digests.get(reading.published_id, {}) if reading and reading.published_id else {}
        )
        return ReadingCell(
            part, reading, reading is not None and known.get(part.player) != part.digest
        )
