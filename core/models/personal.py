"""Names and words of people that history refers to by a commitment, and what was removed of them.

Written by `core.personal` alone.
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified
from core.models.productions import Player, Production

USER = settings.AUTH_USER_MODEL


class Removal(Identified):
    """Somebody was forgotten in a production: when, by whom, on whose request. Never changed."""

    APPEND_ONLY: ClassVar[bool] = True

    class Request(models.TextChoices):
        PERSON = "person", gettext_lazy("the person")
        FOR_THEM = "for_them", gettext_lazy("somebody on behalf of the person")
        PRODUCTION = "production", gettext_lazy("the production")
        SERVICE = "service", gettext_lazy("who runs the service")

    production = models.ForeignKey(Production, models.PROTECT, related_name="removals")
    # Who it was: an account, a musician, or both. Neither name is kept in them.
    person = models.ForeignKey(USER, models.PROTECT, null=True, related_name="removals")
    player = models.ForeignKey(Player, models.PROTECT, null=True, related_name="removals")
    at = models.DateTimeField(default=clock.now, editable=False)
    # None: somebody with the command line.
    by = models.ForeignKey(USER, models.PROTECT, null=True, related_name="+")
    asked_by = models.CharField(
        gettext_lazy("on request of"), max_length=10, choices=Request.choices
    )
    reason = models.CharField(max_length=300)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"removal of {self.at:%d %b %Y}"


class PersonalText(models.Model):
    """One name or text of one person, with the salt of its commitment.

    Never changed but once: a removal empties text and salt. Where only a name that others had
    written was taken out of their words, the rest of them stays as `text`, without a salt.
    """

    APPEND_ONLY: ClassVar[bool] = True
    LOG_KEY: ClassVar[tuple[str, ...]] = ("commitment",)
    LOG_DIGEST: ClassVar[str] = "commitment"  # it stays when the text goes
    # Whatever is no removal of one that was not removed before.
    UPDATE_REFUSED_WHEN: ClassVar[str] = " OR ".join(
        [
            *(
                f"NEW.{column} {{other}} OLD.{column}"
                for column in ("id", "production_id", "person_id", "player_id", "kind")
            ),
            "NEW.commitment <> OLD.commitment OR OLD.salt = '' OR NEW.salt <> ''",
            "NEW.removal_id IS NULL",
        ]
    )

    class Kind(models.TextChoices):
        NAME = "name", "name"
        WORDS = "words", "words"

    production = models.ForeignKey(
        Production, models.PROTECT, db_index=False, related_name="personal_texts"
    )
    person = models.ForeignKey(USER, models.PROTECT, null=True, db_index=False, related_name="+")
    player = models.ForeignKey(Player, models.PROTECT, null=True, db_index=False, related_name="+")
    kind = models.CharField(max_length=5, choices=Kind.choices)
    commitment = models.CharField(max_length=64, unique=True)
    salt = models.CharField(max_length=32, blank=True)
    text = models.TextField(blank=True)
    removal = models.ForeignKey(
        Removal, models.PROTECT, null=True, db_index=False, related_name="texts"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(fields=["production", "person", "kind"], name="personal_text_of_person")
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(salt="", removal__isnull=False)
                | (~models.Q(salt="") & models.Q(removal__isnull=True)),
                name="personal_text_sealed_or_removed",
            )
        ]

    def __str__(self) -> str:
        return self.text or "removed on request"


class RemovedFile(models.Model):
    """A photo or a sound of somebody that is no longer in the storage, by its SHA-256."""

    APPEND_ONLY: ClassVar[bool] = True
    LOG_KEY: ClassVar[tuple[str, ...]] = ("removal", "sha256")

    production = models.ForeignKey(Production, models.PROTECT, related_name="removed_files")
    sha256 = models.CharField(max_length=64, db_index=True)
    removal = models.ForeignKey(Removal, models.PROTECT, related_name="files")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.sha256[:12]
