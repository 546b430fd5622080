"""How long the pages of a set on paper take to make when warm: 16 songs, stage floor and desk.

python -m tests.bench.set_paper
"""

from __future__ import annotations

import os
import statistics
import time
from datetime import date

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()


from core.models import Leg, Show, Song
from core.sets.order import set_of_show
from rigs.paper.pdf import Paper
from rigs.songs.run_sheet import run_sheet
from rigs.songs.set_paper import desk_page, floor_page
from tests.bench.database import own_test_database
from tests.support.world import make_world

SONGS, TIMES = 16, 11


def main() -> None:
    place = make_world().production
    for n in range(SONGS):
        title = f"A song of the harbour, {n}"
        Song.objects.create(production=place, title=title, position=n, length_s=200, gap_s=20)
    days = {"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 30)}
    leg = Leg.objects.create(production=place, name="Coast", **days)
    show = Show.objects.create(leg=leg, held_on=date(2026, 9, 5), room="Barn")
    found, sheet = set_of_show(show), run_sheet(place, show=show)
    for name, made in (
        ("stage floor", lambda: floor_page(show, found, paper=Paper.A4)),
        ("desk", lambda: desk_page(show, sheet, paper=Paper.A4)),
    ):
        made()  # cold: fonts are read once
        taken = []
        for n in range(TIMES):
            # Another room each time: of the same sheet the compiler keeps what it laid out.
            show.room = f"Barn {n}"
            begun = time.process_time()
            made()
            taken.append((time.process_time() - begun) * 1000)
        print(
            f"{name}: median {statistics.median(taken):.0f} ms of the processor, "
            f"best {min(taken):.0f} ms"
        )


if __name__ == "__main__":
    with own_test_database():
        main()
