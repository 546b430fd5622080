"""An input list that somebody uploaded, until it is confirmed and applied."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from core import clock
from core.models import Production, Show
from core.models.base import Identified


class ListImport(Identified):
    """The cells of an uploaded input list; nothing of it is applied before it is confirmed."""

    # Cascades, unlike the rigs: an upload is a draft and no record of anything.
    production = models.ForeignKey(Production, models.CASCADE, related_name="+")
    # Brought for one show: what differs goes into that day's list, and no rig changes.
    show = models.ForeignKey(
        Show, models.CASCADE, null=True, blank=True, editable=False, related_name="+"
    )
    brought_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    brought_at = models.DateTimeField(default=clock.now, editable=False)
    file_name = models.CharField(max_length=200)
    headings = models.JSONField()  # list of the headings, as in the file
    rows = models.JSONField()  # list of rows of cells, below the headings
    first_row = models.PositiveIntegerField()  # the number of the first of `rows` in the file
    mapping = models.JSONField(default=dict)  # index of a heading (as text) → column key
    above = models.JSONField(default=list)  # rows of cells above `rows`: titles and headings
    heading_rows = models.PositiveSmallIntegerField(default=1)  # how many of `above` are headings
    sheets_left_out = models.JSONField(default=list)  # names of other sheets of a workbook
    # What somebody said on the preview: row (as text) → column key → what the cell should say.
    mended = models.JSONField(default=dict)
    # Which rigs and devices it makes: "rigs" and "devices" → key → the choices, by name.
    making = models.JSONField(default=dict)
    applied_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["-brought_at"]

    def __str__(self) -> str:
        return self.file_name
