"""Lists of what a device keeps for a page. A page names the address of its list in `data-keep`.

The worker fetches the pages named here and whatever they show: style sheets, scripts, pictures,
sound. What pages merely link to has to be named.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from datetime import date

from django.http import JsonResponse

from core.models import Production, User
from core.places import GONE_FILES

BUDGET_BYTES = 60_000_000  # of one list; a telephone's browser may hold on to little


@dataclass(frozen=True, slots=True)
class PageLink:
    """A page that the device's own list leads to."""

    url: str
    label: str


@dataclass(frozen=True, slots=True)
class PageGroup:
    """Pages under one heading. `on` is the day of a show: the next one stands first."""

    title: str
    links: list[PageLink]
    on: date | None = None


@dataclass(frozen=True, slots=True)
class StoredPages:
    """Addresses are paths on this site. What is read first is fetched first; what would be beyond
    `budget` bytes is left out, and the device says so."""

    title: str
    page: str  # the page itself
    contents: list[PageGroup] = field(default_factory=list)  # what it needs besides, to be led to
    pages: list[str] = field(default_factory=list)  # what those pages lead to
    files: list[str] = field(default_factory=list)  # whole pictures behind small ones, and the like
    left_out: list[str] = field(default_factory=list)  # sentences: what is not kept
    budget: int = BUDGET_BYTES


def gone_from(production: Production) -> list[str]:
    """What stands in addresses of files that no device may go on keeping."""
    return [part for parts in GONE_FILES.call(production) for part in parts]


def as_list(stored: StoredPages, production: Production, user: User) -> JsonResponse:
    led_to = [link.url for group in stored.contents for link in group.links]
    answer = asdict(stored) | {
        "pages": list(dict.fromkeys(url for url in (*led_to, *stored.pages) if url != stored.page)),
        "production": {"id": str(production.pk), "name": str(production)},
        "user": str(user.pk),
        "gone": gone_from(production),
    }
    response = JsonResponse(answer)
    # It names a person and a production; the worker keeps what it needs of it by itself.
    response.headers["Cache-Control"] = "no-store"
    return response
