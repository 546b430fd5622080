"""A page of the patch, of all shows or of one: what its templates need."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from core.access.views import ProductionRequest
from rigs.shows.places import Place
from rigs.shows.views import find_show


@dataclass(frozen=True, slots=True)
class PatchPlace(Place):
    @property
    def context(self) -> dict[str, Any]:
        return {
            **self.about,
            "patch_url": self.at("patch"),
            "fill_url": self.at("patch_fill"),
            "read_url": self.at("patch_read"),
            "history_url": self.at("patch_history"),
            "strips_url": self.at("patch_strips"),
            "files": [
                ("CSV", self.at("patch_file", "csv"), ""),
                ("XLSX", self.at("patch_file", "xlsx"), ""),
                ("PDF, A4", self.at("patch_file", "pdf"), ""),
                (_("PDF, Letter"), self.at("patch_file", "pdf"), "&paper=us-letter"),
            ],
        }


def place_of(request: ProductionRequest, show_id: UUID | None) -> PatchPlace:
    """Of all shows where none is named. Raises Http404 for another production's."""
    return PatchPlace(request, None if show_id is None else find_show(request, show_id))
