"""Which shows a carnet list is for: those of a leg, chosen ones, or none in particular."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self
from urllib.parse import urlencode
from uuid import UUID

from django.http import QueryDict
from django.utils.translation import ngettext

from core.models import Leg, Production, Show
from rigs.shows.rigs import played_at


@dataclass(frozen=True, slots=True)
class Journey:
    """`shows` are those that were chosen, all of a leg where `leg` is; none: no show in particular.
    `query` is the part of an address that says so."""

    legs: Sequence[Leg]
    every_show: Sequence[Show]
    leg: Leg | None = None
    shows: Sequence[Show] = ()

    @classmethod
    def asked(cls, production: Production, asked: QueryDict) -> Self:
        """By ?leg= and ?show=; what is not there is passed over. Three queries."""
        legs = list(Leg.objects.filter(production=production, retired_at=None))
        every = Show.objects.filter(leg__in=legs, retired_at=None).select_related("leg__production")
        in_order = list(every.order_by("held_on", "pk"))
        ids = set(asked.getlist("show"))
        chosen = [show for show in in_order if str(show.pk) in ids]
        leg = next((leg for leg in legs if str(leg.pk) == asked.get("leg")), None)
        if leg is not None and not chosen:
            return cls(legs, in_order, leg, [show for show in in_order if show.leg_id == leg.pk])
        return cls(legs, in_order, None, chosen)

    @property
    def is_chosen(self) -> bool:
        return bool(self.leg or self.shows)

    def rigs(self) -> set[UUID] | None:
        """The rigs that play at any of the shows; None where none was chosen."""
        if not self.is_chosen:
            return None
        return set().union(*played_at(self.shows).values())

    @property
    def query(self) -> str:
        if self.leg is not None:
            return urlencode({"leg": self.leg.pk})
        return urlencode([("show", show.pk) for show in self.shows])

    @property
    def words(self) -> str:
        """“Winter halls”, “4 Sep · Barn and 2 more shows”; empty for no show in particular."""
        if self.leg is not None:
            return str(self.leg)
        if not self.shows:
            return ""
        first, *more = self.shows
        if not more:
            return str(first)
        return ngettext("{show} and {n} more show", "{show} and {n} more shows", len(more)).format(
            show=first, n=len(more)
        )
