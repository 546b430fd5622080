"""Goods of a carnet list that no rig and no catalogue has: stands, leads, cables, spares, tools."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Production
from core.models.base import Change, Retirable, RetirableQuerySet
from rigs.models.customs import customs_columns, tidy_customs


class CarnetGoods(Retirable):
    """A line of the list. Without `pieces` it is what is counted of its kind, less what other lines
    of that kind have."""

    class Kind(models.TextChoices):
        STANDS = "stands", gettext_lazy("stands, as the inputs need")
        LEADS = "leads", gettext_lazy("microphone leads, as the inputs need")
        CABLES = "cables", gettext_lazy("cables of the rigs")
        SPARES = "spares", gettext_lazy("spares that are carried")
        OTHER = "other", gettext_lazy("anything else")

    production = models.ForeignKey(Production, models.PROTECT, related_name="carnet_goods")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.STANDS)
    what = models.CharField(
        gettext_lazy("what it is"),
        max_length=120,
        help_text=gettext_lazy("As customs read it: microphone stand, steel, tall."),
    )
    pieces = models.PositiveIntegerField(
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(1)],
        help_text=gettext_lazy("Empty: as many as are counted from inputs and rigs."),
    )
    packed_in = models.CharField(
        gettext_lazy("case it travels in"),
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy("As on the case."),
    )
    serial = models.CharField(
        gettext_lazy("serial numbers"), max_length=200, blank=True, default=""
    )
    country_of_origin, worth, currency = customs_columns()
    weight_kg = models.DecimalField(
        gettext_lazy("weight of one, kg"),
        max_digits=9,
        decimal_places=3,
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(Decimal("0.001"))],
    )
    size = models.CharField(
        max_length=60,
        blank=True,
        default="",
        help_text=gettext_lazy("Folded or packed: 90 × 12 × 12 cm."),
    )

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "what", "pk"]
        verbose_name = gettext_lazy("goods of the carnet list")
        verbose_name_plural = gettext_lazy("goods of the carnet list")

    def __str__(self) -> str:
        return self.what

    def clean(self) -> None:
        self.what = " ".join(self.what.split())
        tidy_customs(self)
        if self.kind == self.Kind.OTHER and self.pieces is None:
            raise ValidationError({"pieces": _("Nothing counts these: how many are there?")})


class CarnetGoodsChange(Change):
    """Who wrote or changed a line, in words; never changed."""

    goods = models.ForeignKey(CarnetGoods, models.PROTECT, related_name="changes")

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = gettext_lazy("change of goods of the carnet list")
        verbose_name_plural = gettext_lazy("changes of goods of the carnet list")

    def __str__(self) -> str:
        return f"{self.goods}, {self.by_name}"
