"""How lines run from the stage to the desks: boxes with numbered ways, the runs between them, the
way of each input, lines lent to another act, and who changed it when.

What holds for all shows has no show; what holds for one evening names it. Written by
`rigs.patch.services` alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core import clock
from core.languages.words import apart, each_of
from core.models import Production, Show
from core.models.base import Change, Identified, Retirable, RetirableQuerySet
from rigs.models.inputs import Input

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

MOST_WAYS = 96


def _count(words: StrOrPromise, **more: object) -> models.PositiveIntegerField[int, int]:
    limits = [MinValueValidator(1), MaxValueValidator(MOST_WAYS)]
    return models.PositiveIntegerField(words, validators=limits, **more)  # type: ignore[arg-type]


class Split(models.TextChoices):
    """How a line is divided between the desks. What passes which is common practice, no source."""

    UNSTATED = "", gettext_lazy("not stated")
    NONE = "none", gettext_lazy("not split")
    PASSIVE = "passive", gettext_lazy("passive: phantom power passes from either desk")
    TRANSFORMER = (
        "transformer",
        gettext_lazy("transformer: phantom power passes from the direct side alone"),
    )
    ACTIVE = "active", gettext_lazy("active: the split gives phantom power")


class Desk(models.TextChoices):
    """The two sides of a split."""

    UNSTATED = "", gettext_lazy("not stated")
    FOH = "foh", gettext_lazy("the FOH desk")
    MONITOR = "monitor", gettext_lazy("the monitor desk")


class PhantomFrom(models.TextChoices):
    """What gives phantom power to a line."""

    UNSTATED = "", gettext_lazy("not stated")
    FOH = "foh", gettext_lazy("the FOH desk")
    MONITOR = "monitor", gettext_lazy("the monitor desk")
    BOTH = "both", gettext_lazy("both desks")
    SPLIT = "split", gettext_lazy("the split itself")


class LastWritten(models.Model):
    """Who wrote a row last, when, and how often it was written."""

    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    by_name = models.CharField(max_length=120, default="", editable=False)
    at = models.DateTimeField(default=clock.now, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True


class PatchBox(Retirable):
    """A stage box, sub-snake, loom or multipin: something with numbered ways."""

    class Kind(models.TextChoices):
        BOX = "box", gettext_lazy("stage box")
        SNAKE = "snake", gettext_lazy("sub-snake")
        LOOM = "loom", gettext_lazy("loom")
        MULTIPIN = "multipin", gettext_lazy("multipin")

    production = models.ForeignKey(Production, models.PROTECT, related_name="patch_boxes")
    name = models.CharField(max_length=60)
    mark = models.CharField(
        gettext_lazy("short mark"),
        max_length=6,
        help_text=gettext_lazy("What stands before a way: A for A 12, SL for SL 12."),
    )
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.BOX)
    ways = _count(gettext_lazy("ways"), default=12)
    place = models.CharField(
        gettext_lazy("where it stands"),
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "As seen from the stage: “stage left, behind the bass”, “on the drum riser”."
        ),
    )
    to_desk = models.BooleanField(
        gettext_lazy("its ways go to the desk or the split"),
        default=True,
        help_text=gettext_lazy("Off for what is plugged into another box first."),
    )
    split = models.CharField(max_length=12, choices=Split.choices, blank=True, default="")
    direct = models.CharField(
        gettext_lazy("direct side of the split"),
        max_length=8,
        choices=Desk.choices,
        blank=True,
        default="",
    )
    position = models.PositiveIntegerField(default=0, editable=False)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "name", "pk"]
        verbose_name = gettext_lazy("box of the patch")
        verbose_name_plural = gettext_lazy("boxes of the patch")

    def __str__(self) -> str:
        return self.name


class PatchRun(Identified):
    """Ways of a box that are plugged into ways of another, in order, one to one."""

    source = models.ForeignKey(PatchBox, models.PROTECT, related_name="runs")
    first = _count(gettext_lazy("from way"), default=1)
    target = models.ForeignKey(PatchBox, models.PROTECT, related_name="fed_by")
    target_first = _count(gettext_lazy("to way"), default=1)
    count = _count(gettext_lazy("how many ways"), default=1)

    class Meta:
        ordering = ["source", "first", "pk"]
        verbose_name = gettext_lazy("run of the patch")
        verbose_name_plural = gettext_lazy("runs of the patch")

    def __str__(self) -> str:
        return (
            f"{self.source.mark} {span(self.first, self.count)} → "
            f"{self.target.mark} {span(self.target_first, self.count)}"
        )

    def clean(self) -> None:
        # A form without a target says so itself.
        if self.target_id and self.source.production_id != self.target.production_id:
            raise ValidationError(_("Those boxes belong to two productions."))


class PatchLine(LastWritten, Identified):
    """The way of one input and what is said of its line, of all shows or of one.

    A row of a show stands in for the whole row of all shows. Without a box the input has no way.
    """

    input = models.ForeignKey(Input, models.PROTECT, related_name="patch_lines")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, blank=True, default=None, related_name="patch_lines"
    )
    box = models.ForeignKey(
        PatchBox, models.PROTECT, null=True, blank=True, default=None, related_name="lines"
    )
    way = _count(gettext_lazy("way"), null=True, blank=True, default=None)
    monitor_channel = models.PositiveIntegerField(
        gettext_lazy("monitor channel"),
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(1), MaxValueValidator(9999)],
    )
    split = models.CharField(
        gettext_lazy("split of this line"),
        max_length=12,
        choices=[("", gettext_lazy("as the box says")), *Split.choices[1:]],
        blank=True,
        default="",
    )
    phantom_from = models.CharField(
        gettext_lazy("phantom power comes from"),
        max_length=8,
        choices=PhantomFrom.choices,
        blank=True,
        default="",
    )

    class Meta:
        ordering = ["input", "pk"]
        verbose_name = gettext_lazy("line of the patch")
        verbose_name_plural = gettext_lazy("lines of the patch")
        constraints = [
            models.UniqueConstraint(
                fields=["input"], condition=models.Q(show=None), name="one_line_of_input"
            ),
            models.UniqueConstraint(fields=["input", "show"], name="one_line_of_input_at_show"),
        ]

    def __str__(self) -> str:
        return (
            f"{self.input}: {self.box.mark} {self.way}"
            if self.box
            else _("{input}: no way").format(input=self.input)
        )


class PatchBoxAtShow(LastWritten, Identified):
    """What stands in the place of a box at one show, with its ways and where they go.

    What is empty is as for all shows. `runs` is in words, as rigs.patch.words reads them.
    """

    show = models.ForeignKey(Show, models.PROTECT, related_name="patch_boxes")
    box = models.ForeignKey(PatchBox, models.PROTECT, related_name="at_shows")
    name = models.CharField(
        gettext_lazy("what stands instead"),
        max_length=60,
        blank=True,
        default="",
        help_text=gettext_lazy("Empty: ours."),
    )
    ways = _count(gettext_lazy("its ways"), null=True, blank=True, default=None)
    place = models.CharField(gettext_lazy("where it stands"), max_length=80, blank=True, default="")
    runs = models.CharField(
        gettext_lazy("where its ways go"),
        max_length=300,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "1–8 → B 1–8; several with ; between. “desk”: straight to the desk or the split."
        ),
    )
    words = models.CharField(
        gettext_lazy("to know about it"), max_length=300, blank=True, default=""
    )

    class Meta:
        ordering = ["box", "pk"]
        verbose_name = gettext_lazy("box at a show")
        verbose_name_plural = gettext_lazy("boxes at shows")
        constraints = [
            models.UniqueConstraint(fields=["show", "box"], name="one_layer_of_box"),
        ]

    def __str__(self) -> str:
        return f"{self.box.mark} at {self.show}: {self.said}"

    @property
    def said(self) -> str:
        """“House box, 12 ways, 1–8 → B 1–8”: what is other."""
        ways = ngettext("{n} way", "{n} ways", self.ways).format(n=self.ways) if self.ways else ""
        return each_of((self.name, ways, self.place, self.runs, self.words))

    def clean(self) -> None:
        self.name, self.place = " ".join(self.name.split()), " ".join(self.place.split())
        if not (self.name or self.ways or self.place or self.runs):
            raise ValidationError(_("Say what is different at this show."))


class LentLine(LastWritten, Identified):
    """Lines or kit lent to another act at a show, or borrowed from one, in words, with its ways."""

    class Direction(models.TextChoices):
        LENT = "lent", gettext_lazy("lent to")
        BORROWED = "borrowed", gettext_lazy("borrowed from")

    show = models.ForeignKey(Show, models.PROTECT, related_name="lent_lines")
    direction = models.CharField(
        gettext_lazy("which way"), max_length=8, choices=Direction.choices, default=Direction.LENT
    )
    act = models.CharField(gettext_lazy("the other act"), max_length=80)
    what = models.CharField(gettext_lazy("lines or kit"), max_length=200)
    box = models.ForeignKey(
        PatchBox, models.PROTECT, null=True, blank=True, default=None, related_name="lent"
    )
    first = _count(gettext_lazy("from way"), null=True, blank=True, default=None)
    count = _count(gettext_lazy("how many ways"), null=True, blank=True, default=None)
    plugged = models.BooleanField(
        gettext_lazy("what we have plugged there stays and is used by both"),
        default=False,
        help_text=gettext_lazy("Off where the ways are plugged anew at the changeover."),
    )
    words = models.CharField(
        gettext_lazy("to know about it"), max_length=300, blank=True, default=""
    )

    class Meta:
        ordering = ["act", "box", "first", "pk"]
        verbose_name = gettext_lazy("line lent at a show")
        verbose_name_plural = gettext_lazy("lines lent at a show")

    def __str__(self) -> str:
        return f"{self.what}, {self.get_direction_display()} {self.act}"

    @property
    def ways(self) -> str:
        """“B 9–12”; empty where it takes none."""
        if self.box is None or self.first is None:
            return ""
        return f"{self.box.mark} {span(self.first, self.count or 1)}"

    def clean(self) -> None:
        if self.box is None:
            if self.first is not None:
                raise ValidationError({"box": _("Which box are the ways of?")})
            return
        if self.first is None:
            raise ValidationError({"first": _("Which way is the first?")})
        self.count = self.count or 1
        if missing := missing_way(self.box, self.first, self.count):
            raise ValidationError({"first": missing})


class PatchChange(Change):
    """Who changed the patch of all shows, or of one, and what was changed, in sentences."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="patch_changes")
    show = models.ForeignKey(
        Show, models.PROTECT, null=True, blank=True, default=None, related_name="patch_changes"
    )

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("change of the patch")
        verbose_name_plural = gettext_lazy("changes of the patch")

    def __str__(self) -> str:
        return apart(self.words)


class PatchQuestion(Identified):
    """What a guest asked about the patch of a show, or marked in it: open until somebody of the
    crew has answered it, or settled it by word of mouth. Words are here alone: the history says
    that it was asked, and by whom."""

    show = models.ForeignKey(Show, models.PROTECT, related_name="patch_questions")
    # The marked ways as the page called them: “7 Bass mic”.
    ways = models.JSONField(default=list, blank=True)
    words = models.TextField(max_length=1000)
    # As they typed it, and that they are a guest.
    asked_name = models.CharField(max_length=120, editable=False)
    asked_at = models.DateTimeField(default=clock.now, editable=False)
    # The id of the link they came by, on the page of which they read the answer. No pointer:
    # archives carry no links.
    came_by = models.UUIDField(null=True, default=None, editable=False)
    answer = models.TextField(max_length=1000, blank=True, default="")
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    answered_by_name = models.CharField(max_length=120, default="", editable=False)
    answered_at = models.DateTimeField(null=True, default=None, editable=False)

    class Meta:
        ordering = ["-asked_at", "pk"]
        verbose_name = gettext_lazy("question of a guest")
        verbose_name_plural = gettext_lazy("questions of guests")

    def __str__(self) -> str:
        return self.words

    @property
    def is_open(self) -> bool:
        return self.answered_at is None


def span(first: int, count: int) -> str:
    """“9–12”, “9”."""
    return str(first) if count == 1 else f"{first}–{first + count - 1}"


def missing_way(box: PatchBox, first: int, count: int = 1) -> str:
    """What to say where `box` has not all of `count` ways from `first` on; else nothing."""
    last = first + count - 1
    if first >= 1 and last <= box.ways:
        return ""
    wrong = first if first < 1 or first > box.ways else last
    return _("{name} has ways 1 to {ways}: there is no way {mark} {wrong}.").format(
        name=box.name, ways=box.ways, mark=box.mark, wrong=wrong
    )
