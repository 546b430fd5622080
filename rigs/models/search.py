"""How far the search has read each rig's history; it catches up before it is asked."""

from __future__ import annotations

from django.db import models

from rigs.models.rigs import Rig


class IndexedRig(models.Model):
    rig = models.OneToOneField(Rig, models.CASCADE, primary_key=True, related_name="indexed")
    number = models.PositiveIntegerField(help_text="The newest change that the search knows.")

    def __str__(self) -> str:
        return f"{self.rig} up to change {self.number}"
