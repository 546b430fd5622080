"""Long lists in pages, newest first, each begun by the key of the row where another ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model, Q, QuerySet
from django.http import Http404, QueryDict
from django.utils.translation import gettext as _

M = TypeVar("M", bound=Model)
SIZE = 50


@dataclass(frozen=True, slots=True)
class Page(Generic[M]):
    rows: list[M]
    newer_url: str = ""
    older_url: str = ""


def page(records: QuerySet[M], query: QueryDict, *, by: str, size: int = SIZE) -> Page[M]:
    """The part of `records` that `?before=<key>` or `?after=<key>` asks for, ordered by field `by`.

    At most two queries. Raises Http404 for a key that is none.
    """
    before, after = query.get("before"), query.get("after")
    # Upwards from the row and then turned round: the nearest newer rows, not the newest of all.
    if after:
        rows = list(_beyond(records, after, by, "gt").order_by(by, "pk")[: size + 1])
        more, rows = len(rows) > size, rows[:size][::-1]
        newer = _url(query, "after", rows[:1]) if more else ""
        return Page(rows, newer, _url(query, "before", rows[-1:]))
    if before:
        records = _beyond(records, before, by, "lt")
    rows = list(records.order_by(f"-{by}", "-pk")[: size + 1])
    more, rows = len(rows) > size, rows[:size]
    return Page(
        rows,
        _url(query, "after", rows[:1]) if before else "",
        _url(query, "before", rows[-1:]) if more else "",
    )


def _beyond(rows: QuerySet[M], key: str, by: str, way: str) -> QuerySet[M]:
    try:
        # In the whole table: a row that the filter leaves out by now still marks a place.
        at: Any = rows.model._default_manager.values_list(by, flat=True).get(pk=key)
    except (ValueError, ValidationError, rows.model.DoesNotExist):  # type: ignore[attr-defined]
        raise Http404(_("There is no such place in this list.")) from None
    # The key decides among rows of one moment, so that none is shown twice or left out.
    return rows.filter(Q(**{f"{by}__{way}": at}) | Q(**{by: at, f"pk__{way}": key}))


def _url(query: QueryDict, name: str, edge: list[M]) -> str:
    if not edge:
        return ""
    query_copy = query.copy()
    query_copy.pop("before", None)
    query_copy.pop("after", None)
    query_copy[name] = str(edge[0].pk)
    return f"?{query_copy.urlencode()}"
