"""Pages of guests ask the database as often for much as for little."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.models import Player, Show
from notes.models import PublishedHandover
from rigs.backline.services import save_line
from rigs.changes.edits import Add
from rigs.guests import OF_SHOWS
from rigs.models import BacklineLine, PatchQuestion
from rigs.photos.services import add_photos
from tests.core.guests.shared import link_to
from tests.support.everything import fill, picture
from tests.support.world import World, make_rig

ANSWERED = ("patch", "backline")
COLOURS = ("navy", "teal", "olive", "black")


def asked_for(url: str) -> int:
    """How many queries the page takes, once what processes remember is known."""
    client = Client()
    client.get(url)
    cache.clear()
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert client.get(url).status_code == 200
    return len(asked)


def grow(world: World, show: Show, patch: str, n: int) -> None:
    """One more of whatever the pages list, and three of what a rig has."""
    name = f"Player {n}"
    player = Player.objects.create(production=world.production, name=name, instrument="sax")
    rig = make_rig(world.production, player, world.tech, f"Rig {n}", tuple(parts(n, 30 + 3 * n)))
    add_photos(rig, [picture(COLOURS[n])], about=None, caption="All", author=world.engineer)
    world.record(*parts(n, 60 + 3 * n))
    line = BacklineLine(leg=show.leg, show=show, what=f"Head {n}", wanted="Ostrander Sluice")
    save_line(line, by=world.engineer)
    sent = {"words": f"And this, {n}?", "guest_name": "Mara", "ways": []}
    assert Client().post(patch, sent).status_code == 302


def parts(n: int, number: int) -> Iterator[Add]:
    for m in range(3):
        yield Add(str(uuid4()), "unit", {"name": f"Head {n}.{m}", "gear": "valve_head"})
        yield Add(str(uuid4()), "input", {"number": number + m, "name": f"Mic {n}.{m}"})


@pytest.mark.any_database
def test_every_first_page_of_a_guest_has_a_fixed_number_of_queries(world: World) -> None:
    fill(world)
    show = Show.objects.live().get(leg__production=world.production)
    subjects = dict.fromkeys(OF_SHOWS, show.pk)
    subjects |= {"rig": world.rig.pk, "leg-backline": show.leg_id, "handover-copy": show.leg_id}
    subjects["handover"] = PublishedHandover.objects.get().pk
    links = {
        kind: link_to(world, kind, subject, may_answer=kind in ANSWERED)
        for kind, subject in subjects.items()
    }
    grow(world, show, links["patch"], 0)  # what there is one of, is asked for
    before = {kind: asked_for(url) for kind, url in links.items()}
    for n in range(1, 4):
        grow(world, show, links["patch"], n)
    assert PatchQuestion.objects.filter(came_by__isnull=False).count() == 4
    after = {kind: asked_for(url) for kind, url in links.items()}
    assert after == before
