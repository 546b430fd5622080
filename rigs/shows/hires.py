"""What is hired locally at a show, and the pack list that follows from it."""

from __future__ import annotations

from collections.abc import Sequence

from core.models import Show
from rigs.lists.pack import pack_of
from rigs.lists.pack_of_show import DaySection, day_pack
from rigs.shows.rigs import played_at
from rigs.shows.services import rows_of


def pack_of_show(show: Show, variants: Sequence[str] = ()) -> list[DaySection]:
    """The pack list of `show`, of the rigs that play unless `variants` are asked for. Thirteen
    queries, however long it is."""
    rigs = None if variants else played_at([show])[show.pk]
    rows = rows_of(show, variants, rigs)
    used = [row.entry for row in rows if not row.absent]
    pack = pack_of(show.leg.production, variants, used, rigs)
    return day_pack(pack, rows, show.hires.all())
