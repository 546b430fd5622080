"""Long lists in pages, in their own order. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.http import QueryDict

# As many as most stages have channels; a page of them stays well below 100 kB.
ROWS = 200


def page_of(rows: Sequence[Any], asked: QueryDict) -> Page[Any]:
    """The page that ?page= names; the nearest there is for anything else.

    `before_url` and `after_url` on it lead to its neighbours, with whatever else was asked.
    """
    page = Paginator(rows, ROWS).get_page(asked.get("page"))
    page.before_url = _to(asked, page.number - 1) if page.has_previous() else ""  # type: ignore[attr-defined]
    page.after_url = _to(asked, page.number + 1) if page.has_next() else ""  # type: ignore[attr-defined]
    return page


def _to(asked: QueryDict, number: int) -> str:
    query = asked.copy()
    query["page"] = str(number)
    return f"?{query.urlencode()}"
