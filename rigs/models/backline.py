"""The backline specification: what is asked of others, and what they answered at each show."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from core.models import Leg, Show
from core.models.base import Change, Identified, Retirable, RetirableQuerySet

ONE_A_LINE = "One a line."


class BacklineLine(Retirable):
    """One thing that is asked for, at every show of a leg or at one show of it.

    Written by `rigs.backline.services` alone; retired where it is wanted no more.
    """

    leg = models.ForeignKey(Leg, models.PROTECT, related_name="backline")
    # Empty for what every show of the leg needs.
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, blank=True, default=None, related_name="backline"
    )
    position = models.PositiveIntegerField(default=1, editable=False)
    what = models.CharField(
        max_length=160,
        help_text="The kind of thing and its size, before any make: bass cabinet, 4 × 10 in.",
    )
    count = models.PositiveIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(999)]
    )
    wanted = models.TextField(
        blank=True,
        default="",
        max_length=1000,
        help_text=f"Makes and models, or what it must have. {ONE_A_LINE}",
    )
    accepted = models.TextField(
        "accepted instead", blank=True, default="", max_length=1000, help_text=ONE_A_LINE
    )
    refused = models.TextField(
        "not accepted", blank=True, default="", max_length=1000, help_text=ONE_A_LINE
    )
    notes = models.TextField(
        blank=True,
        default="",
        max_length=1000,
        help_text="Where it goes, with which stand or pedal, for whom.",
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = "line of a backline specification"
        verbose_name_plural = "lines of backline specifications"

    def __str__(self) -> str:
        return f"{self.count} × {self.what}"

    def clean(self) -> None:
        if self.show is not None and self.show.leg_id != self.leg_id:
            raise ValidationError({"show": "That show is in another leg."})


class BacklineAnswer(Identified):
    """What was offered for a line at one show, what was said to it, and what came."""

    class Reply(models.TextChoices):
        OPEN = "open", "not decided"
        TAKEN = "taken", "accepted"
        REFUSED = "refused", "not accepted"

    line = models.ForeignKey(BacklineLine, models.PROTECT, related_name="answers")
    show = models.ForeignKey(Show, models.PROTECT, related_name="backline_answers")
    offered = models.CharField(
        max_length=200, blank=True, default="", help_text="As the hire firm or promoter calls it."
    )
    from_whom = models.CharField("offered by", max_length=120, blank=True, default="")
    reply = models.CharField("our reply", max_length=8, choices=Reply.choices, default=Reply.OPEN)
    came = models.CharField(
        "what came", max_length=200, blank=True, default="", help_text="Empty: nothing has yet."
    )
    came_count = models.PositiveIntegerField(
        "how many came",
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(999)],
    )
    notes = models.CharField("to know about it", max_length=500, blank=True, default="")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["line__position", "pk"]
        verbose_name = "answer to a backline line"
        verbose_name_plural = "answers to backline lines"
        constraints = [
            models.UniqueConstraint(fields=["line", "show"], name="one_answer_a_show"),
        ]

    def __str__(self) -> str:
        return f"{self.line} at {self.show}"

    def clean(self) -> None:
        line = self.line
        if self.show.leg_id != line.leg_id or line.show_id not in (None, self.show_id):
            raise ValidationError("That line is not asked for at this show.")


class BacklineChange(Change):
    """Who changed a line, or its answer at a show, in words; never changed."""

    line = models.ForeignKey(BacklineLine, models.PROTECT, related_name="changes")
    # The show whose answer it is about; empty for the line itself.
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, default=None, related_name="+", editable=False
    )

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = "change of a backline specification"
        verbose_name_plural = "changes of backline specifications"

    def __str__(self) -> str:
        return f"{self.line}, {self.by_name}"
