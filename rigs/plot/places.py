"""A page of the plot, of all shows or of one: what its templates need."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from core.access.policy import Action, allowed
from core.access.views import ProductionRequest
from rigs.shows.places import Place
from rigs.shows.views import find_show


@dataclass(frozen=True, slots=True)
class PlotPage(Place):
    @property
    def may_size(self) -> bool:
        """Whether whoever asks may say how large this stage is."""
        action = Action.EDIT_RIG if self.show is None else Action.LINE_CHECK
        return allowed(self.request.member.roles, action) and not self.is_retired

    @property
    def context(self) -> dict[str, Any]:
        return {
            **self.about,
            "plot_url": self.at("plot"),
            "history_url": self.at("plot_history"),
            "size_url": self.at("plot_stage"),
            "places_url": self.at("plot_places"),
            "may_size": self.may_size,
            "files": [
                (_("PDF, A4"), self.at("plot_sheet")),
                (_("PDF, Letter"), f"{self.at('plot_sheet')}?paper=us-letter"),
            ],
        }


def page_of(request: ProductionRequest, show_id: UUID | None) -> PlotPage:
    """Of all shows where none is named. Raises Http404 for another production's."""
    return PlotPage(request, None if show_id is None else find_show(request, show_id))
