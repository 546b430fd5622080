"""Monitor mixes: what a player or a position hears of itself and the others, wished and signed."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import OneTimeLink, Player, Production, Show
from core.models.base import Change, Identified, OfflineTimes, Retirable, RetirableQuerySet
from core.personal.fields import PersonalCharField, PersonalTextField
from notes.models.signing import SignOff

USER = settings.AUTH_USER_MODEL


class MonitorMix(Retirable):
    """One mix on stage. What is in it stands in its versions; the columns repeat the newest one.

    Written by `notes.monitors.services` alone. `version` is the number of the newest MixVersion.
    """

    class Kind(models.TextChoices):
        WEDGE = "wedge", gettext_lazy("wedge")
        SIDE_FILL = "side_fill", gettext_lazy("side fill")
        DRUM_FILL = "drum_fill", gettext_lazy("drum fill")
        EAR_STEREO = "ear_stereo", gettext_lazy("in-ear, stereo")
        EAR_MONO = "ear_mono", gettext_lazy("in-ear, mono")

    production = models.ForeignKey(Production, models.PROTECT, related_name="monitor_mixes")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.WEDGE)
    player = models.ForeignKey(
        Player,
        models.PROTECT,
        null=True,
        blank=True,
        default=None,
        related_name="monitor_mixes",
    )
    position = models.CharField(max_length=80, blank=True, default="")

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["player__position", "player__name", "name", "pk"]
        verbose_name = gettext_lazy("monitor mix")
        verbose_name_plural = gettext_lazy("monitor mixes")

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("notes:mix", args=[self.production_id, self.pk])

    @property
    def is_in_ear(self) -> bool:
        return self.kind in (self.Kind.EAR_STEREO, self.Kind.EAR_MONO)

    @property
    def whom(self) -> str:
        """Who hears it: the player, else the position."""
        return str(self.player) if self.player is not None else self.position


class MixVersion(Change):
    """What a mix was made, by whom and when. `state` is the whole mix (notes.monitors.state)."""

    mix = models.ForeignKey(MonitorMix, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField(editable=False)
    state = models.JSONField(default=dict, editable=False)
    # SHA-256 over the state, the number and the digest of the version before.
    digest = models.CharField(max_length=64, editable=False)
    # As in other histories, but its table was made with a column that no form edits.
    by = models.ForeignKey(USER, models.PROTECT, null=True, related_name="+", editable=False)

    class Meta:
        ordering = ["-number"]
        verbose_name = gettext_lazy("version of a monitor mix")
        verbose_name_plural = gettext_lazy("versions of monitor mixes")
        constraints = [
            models.UniqueConstraint(fields=["mix", "number"], name="one_version_of_mix_each_number")
        ]

    def __str__(self) -> str:
        return _("{mix}, version {number}").format(mix=self.mix, number=self.number)


class MixWish(OfflineTimes, Identified):
    """What was asked for in a mix at one show, beside what stands in it. Never changed."""

    APPEND_ONLY: ClassVar[bool] = True

    mix = models.ForeignKey(MonitorMix, models.PROTECT, related_name="wishes")
    show = models.ForeignKey(Show, models.PROTECT, related_name="monitor_wishes")
    words = PersonalCharField(gettext_lazy("what is wished"), max_length=300, person="by")
    by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name = gettext_lazy("wish for a monitor mix")
        verbose_name_plural = gettext_lazy("wishes for monitor mixes")

    def __str__(self) -> str:
        return str(self.words)


class MixWishMark(OfflineTimes, Identified):
    """What became of a wish; the newest mark counts."""

    APPEND_ONLY: ClassVar[bool] = True

    class State(models.TextChoices):
        DONE = "done", gettext_lazy("done")
        OPEN = "open", gettext_lazy("not done")
        TAKEN_BACK = "taken_back", gettext_lazy("taken back")

    wish = models.ForeignKey(MixWish, models.PROTECT, related_name="marks")
    state = models.CharField(max_length=10, choices=State.choices)
    by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name = gettext_lazy("mark at a wish")
        verbose_name_plural = gettext_lazy("marks at wishes")

    def __str__(self) -> str:
        return f"{self.wish}: {self.get_state_display()}"


class MixSignOff(Identified):
    """What a player said of one exact version of a mix. Never changed; the newest counts."""

    APPEND_ONLY: ClassVar[bool] = True

    mix = models.ForeignKey(MonitorMix, models.PROTECT, related_name="sign_offs")
    version = models.ForeignKey(MixVersion, models.PROTECT, related_name="sign_offs")
    version_digest = models.CharField(max_length=64)
    decision = models.CharField(max_length=8, choices=SignOff.Decision.choices)
    words = PersonalTextField(
        blank=True, max_length=2000, default="", person="user", player="player"
    )
    player = models.ForeignKey(Player, models.PROTECT, related_name="mix_sign_offs")
    # None where they signed by a link, without an account.
    user = models.ForeignKey(USER, models.PROTECT, null=True, related_name="+")
    name = PersonalCharField(max_length=120, kind="name", person="user", player="player")
    at = models.DateTimeField()
    # SHA-256 over the canonical JSON of all of the above.
    seal = models.CharField(max_length=64)

    class Meta:
        ordering = ["-at"]
        indexes = [models.Index(fields=["mix", "-at"], name="mix_sign_off_newest")]

    def __str__(self) -> str:
        return f"{self.get_decision_display()} by {self.name}"


class MixSignRequest(models.Model):
    """A player was asked to sign one exact version of a mix, by a one-time link."""

    link = models.OneToOneField(OneTimeLink, models.CASCADE, related_name="mix_sign_request")
    mix = models.ForeignKey(MonitorMix, models.PROTECT, related_name="sign_requests")
    version = models.ForeignKey(MixVersion, models.PROTECT, related_name="+")
    player = models.ForeignKey(Player, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return _("{player} asked to sign {version}").format(
            player=self.player, version=self.version
        )
