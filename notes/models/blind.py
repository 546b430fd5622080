"""Blind trials: two clips with hidden names, who listened, and what they answered."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import OneTimeLink, Player, Production, User
from core.models.base import Identified
from notes.listening.blind import Round
from notes.models.clips import Clip
from notes.models.trials import Trial


class BlindTrial(Identified):
    """Two clips of one input, at matched loudness; `outcome` is what was put on record."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="blind_trials")
    trial = models.ForeignKey(Trial, models.PROTECT, related_name="blind_trials")
    clip_a = models.ForeignKey(Clip, models.PROTECT, related_name="+")
    clip_b = models.ForeignKey(Clip, models.PROTECT, related_name="+")
    gain_a_db = models.DecimalField(max_digits=6, decimal_places=3, editable=False)
    gain_b_db = models.DecimalField(max_digits=6, decimal_places=3, editable=False)
    # Where in each the moment lies that both begin with: they are heard in step.
    lead_a_s = models.FloatField(default=0.0, editable=False)
    lead_b_s = models.FloatField(default=0.0, editable=False)
    # None where the sound does not tell.
    one_performance = models.BooleanField(null=True, editable=False)
    rounds = models.PositiveSmallIntegerField(
        default=10,
        validators=[MinValueValidator(5), MaxValueValidator(30)],
        help_text=gettext_lazy(
            "Five can show a difference only if all are right; ten or more say more."
        ),
    )
    # Fixed beforehand, so that nobody stops when it suits. None: opened before that was asked.
    listeners = models.PositiveSmallIntegerField(
        null=True,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
        help_text=(
            gettext_lazy(
                "How many will listen, yourself included. The number is fixed now. Who stops "
                "half-way keeps the place. Nobody can end the trial when the result suits."
            )
        ),
    )
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField(default=clock.now, editable=False)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, editable=False)
    outcome = models.TextField(blank=True, max_length=1000)

    class Meta:
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return f"blind: {self.trial}"

    def get_absolute_url(self) -> str:
        return reverse("notes:blind", args=[self.production_id, self.pk])

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


class BlindSitting(Identified):
    """One listener's order of rounds, drawn and sealed before the first sound."""

    APPEND_ONLY: ClassVar[bool] = True

    blind = models.ForeignKey(BlindTrial, models.PROTECT, related_name="sittings")
    # A member; or a musician by a one-time link, without an account.
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    player = models.ForeignKey(
        Player, models.PROTECT, null=True, default=None, related_name="blind_sittings"
    )
    order = models.JSONField()
    # Mixed into the seal: without it anybody could try all orders against the seal.
    nonce = models.CharField(max_length=64)
    seal = models.CharField(max_length=64)
    began_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["began_at"]
        constraints = [
            models.UniqueConstraint(fields=["blind", "user"], name="listened_to_blind_once"),
            models.UniqueConstraint(fields=["blind", "player"], name="musician_heard_blind_once"),
        ]

    def __str__(self) -> str:
        return _("{listener} listening blind").format(listener=self.listener)

    @property
    def listener(self) -> User | Player:
        found = self.user or self.player
        assert found is not None  # noqa: S101 - services.begin writes one of the two
        return found

    @property
    def drawn(self) -> list[Round]:
        return [Round(*each) for each in self.order]


class BlindInvitation(models.Model):
    """A musician was asked to listen to a blind trial, by a one-time link."""

    link = models.OneToOneField(OneTimeLink, models.CASCADE, related_name="blind_invitation")
    blind = models.ForeignKey(BlindTrial, models.PROTECT, related_name="invitations")
    player = models.ForeignKey(Player, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return _("{player} asked to listen blind").format(player=self.player)


class BlindAnswer(Identified):
    """What a listener answered in one round. Written once, like the order it answers to."""

    APPEND_ONLY: ClassVar[bool] = True

    sitting = models.ForeignKey(BlindSitting, models.PROTECT, related_name="answers")
    number = models.PositiveSmallIntegerField()
    x = models.CharField(max_length=6)
    prefers = models.CharField(max_length=6, blank=True)
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["sitting", "number"], name="answered_once_a_round")
        ]

    def __str__(self) -> str:
        return _("round {number}").format(number=self.number)
