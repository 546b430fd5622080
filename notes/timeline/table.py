"""The records of a timeline as rows in pages, newest first, each begun by where one ended."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q
from django.http import Http404
from django.utils.translation import gettext as _

from core.models import Production
from notes.timeline.labels import Face, faces
from notes.timeline.marks import RANKS, Mark, MarkKind, Span
from notes.timeline.queries import MOMENTS, records, shows_within, within
from rigs.models import Rig

SIZE = 50


@dataclass(frozen=True, slots=True)
class Row:
    kind: MarkKind
    at: datetime
    face: Face


@dataclass(frozen=True, slots=True)
class Edge:
    """Where a page ends. Records of one moment are in the order of their kinds, then by key."""

    at: datetime
    kind: MarkKind
    key: int | UUID

    def __str__(self) -> str:
        return f"{self.at.isoformat()} {self.kind} {self.key}"

    @classmethod
    def read(cls, words: str) -> Edge:
        """The edge that `words` spell as `str` writes it. Raises Http404 for anything else."""
        try:
            at, kind, key = words.rsplit(" ", 2)
            mark_kind = MarkKind(kind)
            when = datetime.fromisoformat(at)
            # Fails for a moment without its offset, which could not be compared with those of
            # records.
            when.utcoffset().total_seconds()  # type: ignore[union-attr]
            return cls(when, mark_kind, int(key) if mark_kind is MarkKind.CHANGE else UUID(key))
        except (ValueError, AttributeError):
            raise Http404(_("There is no such place in this list.")) from None

    def sorts(self) -> tuple[float, int, Any]:
        return _order(self.kind, Mark(self.at, self.key))


def rows(
    production: Production, rig: Rig | None, span: Span, before: Edge | None = None
) -> tuple[list[Row], Edge | None]:
    """A page of rows before an edge, and the edge of the next page; a fixed number of queries."""
    pairs = [
        (kind, mark) for kind in MarkKind for mark in _newest(kind, production, rig, span, before)
    ]
    pairs.sort(key=lambda each: _order(*each))
    if before:
        # Shows are read whole, so those above the edge are left out here.
        pairs = [each for each in pairs if _order(*each) > before.sorts()]
    page, more = pairs[:SIZE], len(pairs) > SIZE
    edge = Edge(page[-1][1].at, page[-1][0], page[-1][1].key) if more else None
    return _with_faces(page, production), edge


def _order(kind: MarkKind, mark: Mark) -> tuple[float, int, Any]:
    """Newest first; of one moment the lanes from left to right, then by key."""
    return -mark.at.timestamp(), RANKS[kind], mark.key


def _newest(
    kind: MarkKind, production: Production, rig: Rig | None, span: Span, before: Edge | None
) -> list[Mark]:
    rows = records(kind, production, rig)
    if kind is MarkKind.SHOW:
        return shows_within(rows, span)
    field = MOMENTS[kind]
    rows = within(rows, field, span)
    if before:
        rows = rows.filter(_beyond(kind, field, before))
    # The page may come from one kind alone, so each gives a page and one more.
    newest = rows.order_by(f"-{field}", "pk").values_list(field, "pk")[: SIZE + 1]
    return [Mark(at, key) for at, key in newest]


def _beyond(kind: MarkKind, field: str, edge: Edge) -> Q:
    earlier = Q(**{f"{field}__lt": edge.at})
    # At the moment of the edge, kinds further left stand on the page before; the others follow.
    if RANKS[kind] < RANKS[edge.kind]:
        return earlier
    same = Q(**{field: edge.at})
    return earlier | (same & Q(pk__gt=edge.key) if kind is edge.kind else same)


def _with_faces(page: list[tuple[MarkKind, Mark]], production: Production) -> list[Row]:
    keys: dict[MarkKind, list[int | UUID]] = defaultdict(list)
    for kind, mark in page:
        keys[kind].append(mark.key)
    known = {kind: faces(kind, kind_keys, production) for kind, kind_keys in keys.items()}
    return [
        Row(kind, mark.at, known[kind][mark.key]) for kind, mark in page if mark.key in known[kind]
    ]
