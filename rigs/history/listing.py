"""The changes of one rig as a list: newest first, filtered, paged by number of change."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from core.personal.opening import names_of
from rigs.models import ChangeRow, Control, Fact, Revision, Rig, Scene, SceneEntry, Spare
from rigs.wording import ChangeGroup, ChangeLine, describe_many, grouped

SIZE = 15  # about seven screens of a phone
SHOWN = 12  # lines of one change that the list shows; its own page has them all


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    revision: Revision
    groups: Sequence[ChangeGroup]
    more: int = 0


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """Entries, and the numbers to go on from; None where the list ends."""

    entries: Sequence[HistoryEntry] = field(default=())
    newer_after: int | None = None
    older_before: int | None = None


def filtered(
    rig: Rig, *, part: UUID | None = None, author: str = "", kind: str = ""
) -> QuerySet[Revision]:
    """The changes of `rig` that touched `part`; what belongs to a unit counts as it."""
    revisions = Revision.objects.filter(rig=rig)
    if part is not None:
        touched = ChangeRow.objects.filter(revision=OuterRef("pk"), part__in=_with_children(part))
        revisions = revisions.filter(Exists(touched))
    if author:
        stored = (each for each, name in _names(rig).items() if name == author)
        revisions = revisions.filter(author_name__in=list(stored))
    if kind:
        revisions = revisions.filter(reason_kind=kind)
    return revisions


def _with_children(part: UUID) -> list[UUID]:
    controls = Control.objects.filter(unit=part).values_list("pk", flat=True)
    facts, spares, scenes = (
        model.objects.filter(unit=part).values_list("pk", flat=True)
        for model in (Fact, Spare, Scene)
    )
    # Of a scene, or of the unit that recalls it.
    entries = SceneEntry.objects.filter(Q(scene=part) | Q(scene__unit=part))
    # Whoever asks for the changes of an amplifier means its settings, too.
    return [part, *controls, *facts, *spares, *scenes, *entries.values_list("pk", flat=True)]


def page(
    revisions: QuerySet[Revision], *, before: int | None = None, after: int | None = None
) -> HistoryPage:
    """A page of `revisions`: the newest, those before number `before`, or those after `after`."""
    if after is not None:
        # One more than a page is read, which says whether there is a next page without counting.
        rows = list(revisions.filter(number__gt=after).order_by("number")[: SIZE + 1])
        more_newer, rows = len(rows) > SIZE, rows[:SIZE][::-1]
        more_older = bool(rows)
    else:
        older = revisions if before is None else revisions.filter(number__lt=before)
        rows = list(older.order_by("-number")[: SIZE + 1])
        more_older, rows = len(rows) > SIZE, rows[:SIZE]
        more_newer = before is not None and bool(rows)
    return HistoryPage(
        entries(rows),
        rows[0].number if more_newer else None,
        rows[-1].number if more_older else None,
    )


def entries(revisions: Iterable[Revision]) -> list[HistoryEntry]:
    made = list(revisions)
    lines = describe_many(made)
    return [_entry(revision, lines[revision.pk]) for revision in made]


def _entry(revision: Revision, lines: Sequence[ChangeLine]) -> HistoryEntry:
    return HistoryEntry(revision, grouped(lines[:SHOWN]), max(0, len(lines) - SHOWN))


def authors(rig: Rig) -> list[str]:
    """Everybody who changed `rig`, by the name they had then."""
    return sorted(set(_names(rig).values()))


def _names(rig: Rig) -> dict[str, str]:
    """What the history holds of each author, which may be a reference, and the name it means."""
    held = Revision.objects.filter(rig=rig).order_by("author_name").distinct()
    return names_of(held.values_list("author_name", flat=True))
