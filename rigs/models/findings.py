"""Remarks with which somebody accepts a finding, or opens it again."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models

from core import clock
from core.models import Show
from core.models.base import Identified
from core.personal.fields import PersonalCharField, PersonalTextField


class WordsOnFinding(Identified):
    """A remark on a finding with the numbers it had then. The newest remark counts."""

    APPEND_ONLY: ClassVar[bool] = True

    rule = models.CharField(max_length=40, editable=False)
    parts = models.JSONField(default=list, editable=False)  # ids, the one it is most about first
    # Derived from the numbers of the finding: when they change, older words no longer apply.
    signature = models.CharField(max_length=64, editable=False)
    said_of = models.CharField(max_length=400, editable=False)  # the finding's title then
    accepted = models.BooleanField(default=True)  # False: opened again
    words = PersonalTextField(max_length=2000, person="by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    # As it was then: accounts change their names.
    by_name = PersonalCharField(max_length=120, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        abstract = True
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.said_of


class FindingWords(WordsOnFinding):
    """A remark on a finding of one rig."""

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="finding_words")

    class Meta(WordsOnFinding.Meta):
        indexes = [models.Index(fields=["rig", "signature", "-at"], name="words_of_finding")]


class ShowFindingWords(WordsOnFinding):
    """A remark on a finding of the rigs that play at one show."""

    show = models.ForeignKey(Show, models.PROTECT, related_name="finding_words")

    class Meta(WordsOnFinding.Meta):
        indexes = [models.Index(fields=["show", "signature", "-at"], name="words_of_show_finding")]
