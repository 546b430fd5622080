"""A rig is everything one player plays through, in one variant."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Value
from django.db.models.functions import StrIndex
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.marked import gettext_noop
from core.models import Player, Production
from rigs.changes.chain import NO_PARENT
from rigs.changes.edits import Snapshot
from rigs.fields import FieldRole, PartField, ValueKind
from rigs.models.parts import GuardedQuerySet, Tracked

# Of a player's rigs the one the sound is made on comes first: its place in this list of variants.
VARIANTS_IN_ORDER = StrIndex(Value("main fly spare rehearsal"), F("variant"))


class Rig(Tracked):
    """Everything one player plays through, in one variant. It is also the part of kind “rig”."""

    KIND: ClassVar[str] = "rig"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("name", names_part=True, searched=True),
        PartField("variant", FieldRole.VARIANT, searched=True),
        PartField("sound", FieldRole.SIGNED_WORDS, searched=True),
        PartField("notes", searched=True),
        PartField(
            "retired",
            FieldRole.VARIANT,
            ValueKind.YES_NO,
            label=gettext_noop("put away"),
            searched=True,
        ),
    )

    class Variant(models.TextChoices):
        MAIN = "main", gettext_lazy("main rig")
        FLY = "fly", gettext_lazy("fly rig")
        SPARE = "spare", gettext_lazy("spare")
        REHEARSAL = "rehearsal", gettext_lazy("rehearsal rig")

    production = models.ForeignKey(Production, models.PROTECT, related_name="rigs")
    player = models.ForeignKey(Player, models.PROTECT, related_name="rigs")
    name = models.CharField(max_length=120)
    variant = models.CharField(max_length=16, choices=Variant.choices, default=Variant.MAIN)
    sound = models.TextField(
        gettext_lazy("how it should sound"),
        blank=True,
        max_length=4000,
        help_text=gettext_lazy("In the player’s own words. This is what gets signed."),
    )
    notes = models.TextField(gettext_lazy("crew notes"), blank=True, max_length=8000)
    retired = models.BooleanField(default=False)
    # The newest revision, so that the gateway reads one row to know where the chain ends.
    head_number = models.PositiveIntegerField(default=0, editable=False)
    head_digest = models.CharField(max_length=64, default=NO_PARENT, editable=False)
    made_at = models.DateTimeField(default=clock.now, editable=False)

    # Each edit moves these; the entry of the newest change says as much.
    LOG_WITHOUT: ClassVar[tuple[str, ...]] = ("head_number", "head_digest")

    objects = GuardedQuerySet.as_manager()

    class Meta:
        ordering = ["player__position", VARIANTS_IN_ORDER, "name"]
        indexes = [models.Index(fields=["production", "player"], name="rig_by_player")]

    def __str__(self) -> str:
        return self.name

    @cached_property
    def states_read(self) -> dict[int, Snapshot]:
        """States of this rig that were read already, by the number of their revision."""
        return {}

    def get_absolute_url(self) -> str:
        return reverse("rigs:rig", args=[self.production_id, self.pk])
