"""The rehearsal room: what the rooms of a tour are compared with."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy

from core.models.air import WithAir
from core.models.base import Identified
from core.models.fields import LengthField, LengthUnitField
from core.models.productions import Production


class RehearsalRoom(WithAir, Identified):
    """One for each production: where the sound was found, and from how far it was judged."""

    production = models.OneToOneField(Production, models.CASCADE, related_name="rehearsal_room")
    name = models.CharField(gettext_lazy("room"), max_length=120)
    listening_distance_m = LengthField(
        gettext_lazy("loudspeakers to where one listens"), limit_m=1000
    )
    listening_distance_unit = LengthUnitField(default="m")
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return self.name
