"""Lines of a carnet list that are written for it: stands, leads, cables, spares, anything else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.urls import reverse
from django.utils.translation import ngettext_lazy

from core.models import Production
from rigs.carnet.goods import Goods
from rigs.carnet.services import WRITTEN, save_goods
from rigs.editing.refusable import Refusable
from rigs.models import CarnetGoods

Kind = CarnetGoods.Kind
# What is counted of each kind, for one and for many.
COUNTED: Mapping[str, Any] = {
    Kind.STANDS: ngettext_lazy("{n} stand", "{n} stands", "n"),
    Kind.LEADS: ngettext_lazy("{n} microphone lead", "{n} microphone leads", "n"),
    Kind.CABLES: ngettext_lazy("{n} cable in the rigs", "{n} cables in the rigs", "n"),
    Kind.SPARES: ngettext_lazy("{n} spare", "{n} spares", "n"),
}


class GoodsForm(Refusable):
    SAME_AGAIN = ("kind", "packed_in", "country_of_origin", "currency")

    def save(self, commit: bool = True) -> CarnetGoods:
        row: CarnetGoods = self.instance
        save_goods(row, by=self.bump())
        return row

    class Meta:
        model = CarnetGoods
        fields = WRITTEN


def lines_of(production: Production, counts: Mapping[str, int]) -> Iterator[Goods]:
    """The lines, with what `counts` has of each kind. One query."""
    rows = list(CarnetGoods.objects.live().filter(production=production))
    left = _left(rows, counts)
    for row in rows:
        pieces = row.pieces if row.pieces is not None else left.pop(row.kind, 0)
        if pieces:
            yield _goods(row, pieces)


def not_counted(production_lines: Iterable[Goods], counts: Mapping[str, int]) -> list[str]:
    """What is counted and stands on no line, “4 stands”."""
    there: dict[str, int] = {}
    for line in production_lines:
        there[line.by_hand] = there.get(line.by_hand, 0) + line.pieces
    named = []
    for kind, words in COUNTED.items():
        missing = counts.get(kind, 0) - there.get(kind, 0)
        if missing > 0:
            named.append(words.format(n=missing))
    return named


def _left(rows: Iterable[CarnetGoods], counts: Mapping[str, int]) -> dict[str, int]:
    """What the first line of each kind that names no number gets; others of it get none."""
    left = dict(counts)
    for row in rows:
        if row.pieces is not None and row.kind in left:
            left[row.kind] = max(0, left[row.kind] - row.pieces)
    return left


def _goods(row: CarnetGoods, pieces: int) -> Goods:
    return Goods(
        name=row.what,
        what=row.what,
        packed_in=row.packed_in,
        pieces=pieces,
        serials=tuple(each.strip() for each in row.serial.split(",") if each.strip()),
        country=row.country_of_origin,
        worth=None if row.worth is None else row.worth * pieces,
        currency=row.currency,
        kg=None if row.weight_kg is None else row.weight_kg * pieces,
        size=row.size,
        has_size=False,
        numbered=False,
        address=reverse("rigs:carnet_goods", args=[row.production_id, row.pk]),
        by_hand=row.kind,
    )


def new_goods(production: Production, kind: str) -> CarnetGoods:
    known = kind if kind in Kind.values else Kind.STANDS.value
    return CarnetGoods(production=production, kind=known)
