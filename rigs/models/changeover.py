"""The changeover before a show: what goes off and comes on in order, and what was pressed when."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.durations import LONGEST_S
from core.models import Show
from core.models.base import Change, Identified
from rigs.models.plot import Riser


class Changeover(Identified):
    """The changeover of a show. Written by `rigs.changeover.services` alone.

    `version` counts the changes of its plan; `number` counts these and whatever is pressed, so that
    an open page knows what is new to it. It is the row that is locked for both.
    """

    show = models.OneToOneField(Show, models.PROTECT, related_name="changeover")
    there_s = models.PositiveIntegerField(
        gettext_lazy("time there is"),
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    version = models.PositiveIntegerField(default=0, editable=False)
    number = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["show__held_on", "pk"]
        verbose_name = gettext_lazy("changeover")
        verbose_name_plural = gettext_lazy("changeovers")

    def __str__(self) -> str:
        return _("Changeover of {show}").format(show=self.show)


class ChangeoverStep(Identified):
    """One step. What was taken out of the plan stays as a row, because marks may point at it."""

    class Part(models.TextChoices):
        STRIKE = "strike", gettext_lazy("strike: goes off")
        SET = "set", gettext_lazy("set: comes on")

    changeover = models.ForeignKey(Changeover, models.PROTECT, related_name="steps")
    part = models.CharField(max_length=8, choices=Part.choices, default=Part.SET)
    position = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    words = models.CharField(gettext_lazy("what is done"), max_length=160)
    # One of both: a riser of the plot, or a place that was typed.
    riser = models.ForeignKey(
        Riser, models.PROTECT, null=True, blank=True, default=None, related_name="+"
    )
    place = models.CharField(gettext_lazy("riser or place"), max_length=80, blank=True, default="")
    # One of both: somebody of the production, or a name that was typed.
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        default=None,
        related_name="+",
    )
    name = models.CharField(gettext_lazy("who"), max_length=80, blank=True, default="")
    planned_s = models.PositiveIntegerField(
        gettext_lazy("planned"),
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    side_by_side = models.BooleanField(gettext_lazy("may run beside others"), default=True)
    taken_out = models.BooleanField(default=False, editable=False)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = gettext_lazy("step of a changeover")
        verbose_name_plural = gettext_lazy("steps of changeovers")

    def __str__(self) -> str:
        return self.words


class ChangeoverChange(Change):
    """Who made a plan what it then was. `state` is all of it (rigs.changeover.state)."""

    changeover = models.ForeignKey(Changeover, models.PROTECT, related_name="changes")
    number = models.PositiveIntegerField(editable=False)
    state = models.JSONField(default=dict, editable=False)

    class Meta:
        ordering = ["-number"]
        verbose_name = gettext_lazy("change of a changeover")
        verbose_name_plural = gettext_lazy("changes of changeovers")
        constraints = [
            models.UniqueConstraint(
                fields=["changeover", "number"], name="one_change_of_changeover_each_number"
            )
        ]

    def __str__(self) -> str:
        return f"{self.changeover}, change {self.number}"


class ChangeoverMark(Change):
    """One press at a changeover: a step done, or open again; the clock started, or stopped.

    Never changed. What holds is worked out from all of them (rigs.changeover.marks).
    """

    class What(models.TextChoices):
        DONE = "done", gettext_lazy("done")
        OPEN = "open", gettext_lazy("open again")
        START = "start", gettext_lazy("clock started")
        STOP = "stop", gettext_lazy("clock stopped")

    changeover = models.ForeignKey(Changeover, models.PROTECT, related_name="marks")
    what = models.CharField(max_length=8, choices=What.choices)
    step = models.ForeignKey(
        ChangeoverStep, models.PROTECT, null=True, default=None, related_name="marks"
    )

    class Meta:
        ordering = ["at", "pk"]
        verbose_name = gettext_lazy("mark of a changeover")
        verbose_name_plural = gettext_lazy("marks of changeovers")
        constraints = [
            models.CheckConstraint(
                condition=models.Q(what__in=["done", "open"], step__isnull=False)
                | models.Q(what__in=["start", "stop"], step__isnull=True),
                name="mark_names_its_step",
            )
        ]

    def __str__(self) -> str:
        return f"{self.step or self.changeover}: {self.get_what_display()}"
