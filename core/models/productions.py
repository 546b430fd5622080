"""A production is one touring act and its crew: the unit of access."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified, Retirable, RetirableQuerySet
from core.models.roles import Role


class Production(Identified):
    name = models.CharField(max_length=120)
    about = models.TextField(
        blank=True,
        max_length=2000,
        help_text=gettext_lazy("One or two lines: who plays, what the crew is for."),
    )
    created_at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("core:production", args=[self.pk])


class Player(Retirable):
    """A musician. The sound of the rig belongs to them."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="players")
    name = models.CharField(max_length=120)
    instrument = models.CharField(
        max_length=120, help_text=gettext_lazy("Drums, bass, lead voice …")
    )
    # What they say is in: for whoever reads it out, and so that nobody translates it.
    language = models.CharField(
        gettext_lazy("language"), max_length=8, choices=settings.LANGUAGES, default="", blank=True
    )
    position = models.PositiveIntegerField(default=0, editable=False)
    guest = models.BooleanField(
        gettext_lazy("a guest"),
        default=False,
        help_text=gettext_lazy("Plays only at the shows where a rig of theirs is ticked."),
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "name"]
        indexes = [models.Index(fields=["production", "position"], name="player_in_order")]

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """One role of one person in one production; a person may hold several."""

    production = models.ForeignKey(Production, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=16, choices=Role.choices)
    # Which musician a member with the player role is; they sign as that player.
    player = models.ForeignKey(
        Player, models.PROTECT, null=True, blank=True, related_name="memberships"
    )
    since = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["user__name", "role"]
        constraints = [
            models.UniqueConstraint(
                fields=["user", "production", "role"], name="membership_role_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.user} as {self.get_role_display()}"
