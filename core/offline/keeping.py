"""What a page asks the device to keep. A page names the address of such a list in `data-keep`.

The worker fetches the pages named here and whatever they show: style sheets, scripts, pictures,
sound. What pages merely link to has to be named.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field

from django.http import JsonResponse

from core.models import Production, User


@dataclass(frozen=True, slots=True)
class Keeping:
    """Addresses are paths on this site."""

    title: str
    page: str  # the page itself
    pages: list[str] = field(default_factory=list)  # what it needs besides
    files: list[str] = field(default_factory=list)  # whole pictures behind small ones, and the like
    left_out: list[str] = field(default_factory=list)  # sentences: what is not kept


def as_list(keeping: Keeping, production: Production, user: User) -> JsonResponse:
    answer = asdict(keeping) | {
        "production": {"id": str(production.pk), "name": str(production)},
        "user": str(user.pk),
    }
    response = JsonResponse(answer)
    response.headers["Cache-Control"] = "no-store"
    return response
