"""Whether a page is of all shows or of one: its addresses, and what every template of it needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from core.access.urls import within
from core.access.views import ProductionRequest
from core.models import Show


@dataclass(frozen=True, slots=True)
class Place:
    """`show` is None for all shows."""

    request: ProductionRequest
    show: Show | None

    def at(self, name: str, *more: Any) -> str:
        """The address of a page, of this show or of all."""
        if self.show is None:
            return within(self.request, f"rigs:{name}", *more)
        return within(self.request, f"rigs:show_{name}", self.show.pk, *more)

    @property
    def the_show(self) -> Show:
        """For pages that are of a show alone."""
        assert self.show is not None  # noqa: S101 - the address names it
        return self.show

    @property
    def is_retired(self) -> bool:
        return self.show is not None and self.show.is_retired

    @property
    def about(self) -> dict[str, Any]:
        return {"show": self.show, "active_nav": "rigs" if self.show is None else "tour"}
