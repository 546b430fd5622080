"""Lines of a carnet list that are written for it: stands, leads, cables, spares, anything else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from django.urls import reverse

from core.models import Production
from rigs.carnet.goods import Goods
from rigs.carnet.services import WRITTEN, save_goods
from rigs.editing.refusable import Refusable
from rigs.models import CarnetGoods

Kind = CarnetGoods.Kind
# What is counted of each kind, in words for one and for many.
COUNTED: Mapping[str, tuple[str, str]] = {
    Kind.STANDS: ("stand", "stands"),
    Kind.LEADS: ("microphone lead", "microphone leads"),
    Kind.CABLES: ("cable in the rigs", "cables in the rigs"),
    Kind.SPARES: ("spare", "spares"),
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
    for kind, (one, many) in COUNTED.items():
        missing = counts.get(kind, 0) - there.get(kind, 0)
        if missing > 0:
            named.append(f"{missing} {one if missing == 1 else many}")
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
