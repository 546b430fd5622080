"""The backline specification: what is asked of others, and what they answered at each show."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Leg, Show
from core.models.base import Change, Identified, Retirable, RetirableQuerySet

ONE_A_LINE = gettext_lazy("One a line.")


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
        help_text=gettext_lazy(
            "The kind of thing and its size, before any make: bass cabinet, 4 × 10 in."
        ),
    )
    count = models.PositiveIntegerField(
        gettext_lazy("how many"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(999)],
    )
    wanted = models.TextField(
        blank=True,
        default="",
        max_length=1000,
        help_text=gettext_lazy("Makes and models, or what it must have. One a line."),
    )
    accepted = models.TextField(
        gettext_lazy("accepted instead"),
        blank=True,
        default="",
        max_length=1000,
        help_text=ONE_A_LINE,
    )
    refused = models.TextField(
        gettext_lazy("not accepted"), blank=True, default="", max_length=1000, help_text=ONE_A_LINE
    )
    notes = models.TextField(
        blank=True,
        default="",
        max_length=1000,
        help_text=gettext_lazy("Where it goes, with which stand or pedal, for whom."),
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = gettext_lazy("line of a backline specification")
        verbose_name_plural = gettext_lazy("lines of backline specifications")

    def __str__(self) -> str:
        return f"{self.count} × {self.what}"

    def clean(self) -> None:
        if self.show is not None and self.show.leg_id != self.leg_id:
            raise ValidationError({"show": _("That show is in another leg.")})


class BacklineAnswer(Identified):
    """What was offered for a line at one show, what was said to it, and what came."""

    class Reply(models.TextChoices):
        OPEN = "open", gettext_lazy("not decided")
        TAKEN = "taken", gettext_lazy("accepted")
        REFUSED = "refused", gettext_lazy("not accepted")

    line = models.ForeignKey(BacklineLine, models.PROTECT, related_name="answers")
    show = models.ForeignKey(Show, models.PROTECT, related_name="backline_answers")
    offered = models.CharField(
        max_length=200,
        blank=True,
        default="",
        help_text=gettext_lazy("As the hire firm or promoter calls it."),
    )
    from_whom = models.CharField(gettext_lazy("offered by"), max_length=120, blank=True, default="")
    reply = models.CharField(
        gettext_lazy("our reply"), max_length=8, choices=Reply.choices, default=Reply.OPEN
    )
    came = models.CharField(
        gettext_lazy("what came"),
        max_length=200,
        blank=True,
        default="",
        help_text=gettext_lazy("Empty: nothing has yet."),
    )
    came_count = models.PositiveIntegerField(
        gettext_lazy("how many came"),
        null=True,
        blank=True,
        default=None,
        validators=[MaxValueValidator(999)],
    )
    notes = models.CharField(
        gettext_lazy("to know about it"), max_length=500, blank=True, default=""
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["line__position", "pk"]
        verbose_name = gettext_lazy("answer to a backline line")
        verbose_name_plural = gettext_lazy("answers to backline lines")
        constraints = [
            models.UniqueConstraint(fields=["line", "show"], name="one_answer_a_show"),
        ]

    def __str__(self) -> str:
        return f"{self.line} at {self.show}"

    def clean(self) -> None:
        line = self.line
        if self.show.leg_id != line.leg_id or line.show_id not in (None, self.show_id):
            raise ValidationError(_("That line is not asked for at this show."))


class BacklineChange(Change):
    """Who changed a line, or its answer at a show, in words; never changed."""

    line = models.ForeignKey(BacklineLine, models.PROTECT, related_name="changes")
    # The show whose answer it is about; empty for the line itself.
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, default=None, related_name="+", editable=False
    )

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("change of a backline specification")
        verbose_name_plural = gettext_lazy("changes of backline specifications")

    def __str__(self) -> str:
        return f"{self.line}, {self.by_name}"
