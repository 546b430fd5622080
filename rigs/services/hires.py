"""What is hired locally at a show, and the pack list that follows from it."""

from __future__ import annotations

from collections.abc import Sequence

from core.models import Show
from rigs.lists.day_pack import DaySection, day_pack
from rigs.lists.pack import pack_of
from rigs.services.show_day import rows_of


def pack_of_show(show: Show, variants: Sequence[str] = ("main",)) -> list[DaySection]:
    """The pack list of `show`. Seven queries, however long it is."""
    rows = rows_of(show, variants)
    used = [row.entry for row in rows if not row.absent]
    pack = pack_of(show.leg.production, variants, used)
    return day_pack(pack, rows, show.hires.all())
