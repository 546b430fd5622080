"""The handover of a leg: what an incoming crew reads, acknowledges and asks about."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Leg, Player
from core.models.base import Identified, OfflineTimes


class Handover(Identified):
    """The words for the handover of a leg that no record holds. There is one for each leg."""

    leg = models.OneToOneField(Leg, models.PROTECT, related_name="handover")
    opening = models.TextField(
        gettext_lazy("to whoever takes over"),
        blank=True,
        max_length=8000,
        help_text=gettext_lazy(
            "What you would say in person: the act, the sound, what to listen for."
        ),
    )
    cautions = models.TextField(
        blank=True,
        max_length=4000,
        help_text=gettext_lazy("Anything that can hurt people or gear. One a line."),
    )
    people = models.TextField(gettext_lazy("people to call"), blank=True, max_length=4000)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(default=clock.now, editable=False)

    def __str__(self) -> str:
        return _("handover for {leg}").format(leg=self.leg)

    def get_absolute_url(self) -> str:
        return reverse("notes:handover", args=[self.leg.production_id, self.leg_id])


class Acknowledgement(OfflineTimes):
    """Somebody has read a player's section (or, without a player, the general part)."""

    handover = models.ForeignKey(Handover, models.PROTECT, related_name="acknowledgements")
    player = models.ForeignKey(Player, models.PROTECT, null=True, related_name="+")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=clock.now)
    # Which published one they read. None: the working copy, before anything was published.
    published = models.ForeignKey(
        "notes.PublishedHandover", models.PROTECT, null=True, related_name="acknowledgements"
    )
    # Of the working copy: what the section said, as notes.handover.content.outline_of has it.
    digest = models.CharField(max_length=64, blank=True, default="", editable=False)

    LOG_KEY = ("handover", "player", "user")

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["handover", "player", "user"], name="acknowledged_once"
            ),
            models.UniqueConstraint(
                # In SQL two empty values are not equal, so the constraint above does not cover
                # this.
                fields=["handover", "user"],
                condition=models.Q(player=None),
                name="general_part_acknowledged_once",
            ),
        ]

    def __str__(self) -> str:
        section = self.player or _("the general part")
        return _("{person} has read {section}").format(person=self.user, section=section)


class Question(OfflineTimes, Identified):
    """A question of the crew about a player's section or, without a player, the general part."""

    handover = models.ForeignKey(Handover, models.PROTECT, related_name="questions")
    player = models.ForeignKey(Player, models.PROTECT, null=True, blank=True, related_name="+")
    words = models.TextField(max_length=2000)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField(default=clock.now)
    # Who owes the answer. Nobody in particular: an engineer or a tech.
    owed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["asked_at"]

    def __str__(self) -> str:
        return self.words


class Answer(OfflineTimes, Identified):
    question = models.ForeignKey(Question, models.PROTECT, related_name="answers")
    words = models.TextField(max_length=4000)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(default=clock.now)

    class Meta:
        ordering = ["answered_at"]

    def __str__(self) -> str:
        return self.words
