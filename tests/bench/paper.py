"""How long sheets take to make when warm: recall sheets of the demonstration's rigs, and sheets of
one page as full as they are meant for.

python -m tests.bench.paper

Each time something of the sheet differs, or what the compiler keeps of the last one would be
measured.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command

from core.sets.order import set_of_production
from rigs.models import Rig
from rigs.one_page.kit import kit_page
from rigs.one_page.player import PlayerPage, player_pages
from rigs.overview.listing import live_view
from rigs.paper.pdf import Paper
from rigs.paper.sheets import recall_sheet
from rigs.revisions.read import revision
from rigs.songs.run_sheet import of_set
from tests.bench.database import own_test_database
from tests.support.full_rigs import fourteen_units, whole_kit
from tests.support.world import make_world

ADDRESS, TIMES = "http://127.0.0.1:8000/", 11


def main() -> None:
    call_command("demo", verbosity=0, stdout=open(os.devnull, "w"))  # noqa: SIM115
    taken = []
    for rig in Rig.objects.select_related("player", "production"):
        newest = revision(rig, rig.head_number)
        taken.append(
            _timed(lambda: recall_sheet(rig, newest, address=ADDRESS, paper=Paper.A4))  # noqa: B023
        )
    print(
        f"{len(taken)} recall sheets: {sum(taken):.0f} ms in all, "
        f"median {statistics.median(taken):.0f} ms"
    )
    for rig in Rig.objects.select_related("player", "production").filter(name="Bass main"):
        _measured("one page of the demonstration’s bass", rig)
    for units, songs in ((14, 4), (8, 16), (14, 16)):
        # Each in a production of its own: the songs of all would be on each one's page.
        rig = fourteen_units(make_world(f"{units} and {songs}"), units=units, songs=songs)
        _measured(f"one page, {units} units, {songs} songs", rig)
    kit = whole_kit(make_world("A kit"))
    view, _ = live_view(kit)
    more = {"place": "", "stamp": "", "address": ADDRESS, "tonight": {}, "paper": Paper.A4}
    _say("the kit, 14 drums and cymbals", lambda n: kit_page(view, f"Drummer {n}", **more))  # type: ignore[arg-type]


def _measured(name: str, rig: Rig) -> None:
    view, _ = live_view(rig)
    songs = of_set(rig.production, set_of_production(rig.production), {rig: view})
    page = PlayerPage(rig, view, "", songs, ADDRESS)
    more = {"title": "One page", "place": "", "stamp": "", "paper": Paper.A4}
    _say(name, lambda n: player_pages([replace(page, name=f"Player {n}")], **more))  # type: ignore[arg-type]


def _say(name: str, made: Callable[[int], bytes]) -> None:
    made(0)
    taken = [_timed(lambda: made(n)) for n in range(1, TIMES + 1)]  # noqa: B023
    print(
        f"{name}: median {statistics.median(taken):.0f} ms of the processor, "
        f"best {min(taken):.0f} ms"
    )


def _timed(made: Callable[[], bytes]) -> float:
    # Of the processor: on a shared machine the clock tells what others do, too.
    begun = time.process_time()
    made()
    return (time.process_time() - begun) * 1000


if __name__ == "__main__":
    with own_test_database():
        main()
