"""Sign-offs: a party accepts (or withholds from) one exact revision of a rig."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import OneTimeLink, Player
from core.models.base import Identified
from core.personal.fields import PersonalCharField, PersonalTextField
from notes.models.clips import Clip
from rigs.models import Revision, Rig


class Party(models.TextChoices):
    PLAYER = "player", gettext_lazy("player")
    TECH = "tech", gettext_lazy("backline tech")
    ENGINEER = "engineer", gettext_lazy("FOH engineer")


class SignOff(Identified):
    """What one party said of one exact revision. Never changed; the newest of a party counts."""

    APPEND_ONLY: ClassVar[bool] = True

    class Decision(models.TextChoices):
        SIGNED = "signed", gettext_lazy("signed")
        WITHHELD = "withheld", gettext_lazy("withheld")

    rig = models.ForeignKey(Rig, models.PROTECT, related_name="sign_offs")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="sign_offs")
    revision_digest = models.CharField(max_length=64)
    party = models.CharField(max_length=8, choices=Party.choices)
    decision = models.CharField(max_length=8, choices=Decision.choices)
    words = PersonalTextField(blank=True, max_length=2000, person="user", player="player")
    # Who it was: a musician (with or without an account), or a member.
    player = models.ForeignKey(Player, models.PROTECT, null=True, related_name="sign_offs")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    # As it was when they signed: the seal covers it, and an account may be renamed.
    name = PersonalCharField(max_length=120, kind="name", person="user", player="player")
    at = models.DateTimeField()
    # What it sounded like, if a clip was signed along with the settings.
    clip = models.ForeignKey(Clip, models.PROTECT, null=True, blank=True, related_name="sign_offs")
    # SHA-256 over the canonical JSON of all of the above, the revision's digest included.
    seal = models.CharField(max_length=64)

    class Meta:
        ordering = ["-at"]
        indexes = [models.Index(fields=["rig", "party", "-at"], name="sign_off_newest")]

    def __str__(self) -> str:
        if self.decision == self.Decision.SIGNED:
            return _("signed by {name}").format(name=self.name)
        return _("withheld by {name}").format(name=self.name)


class SignRequest(models.Model):
    """A player was asked to sign one exact revision, by a one-time link."""

    link = models.OneToOneField(OneTimeLink, models.CASCADE, related_name="sign_request")
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="sign_requests")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="+")
    player = models.ForeignKey(Player, models.PROTECT, related_name="+")
    # The clip to be heard and signed along with it.
    clip = models.ForeignKey(Clip, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return _("{player} asked to sign {revision}").format(
            player=self.player, revision=self.revision
        )
