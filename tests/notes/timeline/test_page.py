"""The page: nothing, one and very many marks; every mark leads to its record; the list is whole."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from html import unescape
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import Leg, Production, Show
from notes.models import Note, SignOff, Trial
from notes.timeline.marks import MarkKind
from tests.support.listening import hear, open_a_trial
from tests.support.world import HIRE, World, make_rig

LINK = re.compile(r'<a href="([^"]+)" aria-label="([^"]+)"')


def page(client: Client, world: World, query: str = "", rig: bool = False) -> Any:
    client.force_login(world.people["crew"])
    name, args = ("rig_timeline", [world.rig.pk]) if rig else ("timeline", [])
    return client.get(reverse(f"notes:{name}", args=[world.production.pk, *args]) + query)


def links(response: Any) -> list[tuple[str, str]]:
    return [
        (unescape(url), unescape(said)) for url, said in LINK.findall(response.content.decode())
    ]


def play(world: World, day: date = date(2026, 9, 2)) -> Show:
    leg, _ = Leg.objects.get_or_create(
        production=world.production,
        name="Leg",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 9),
    )
    return Show.objects.create(leg=leg, held_on=day, room="The Sumphouse", town="Mellow")


def notes(world: World, count: int, start: datetime = datetime(2026, 3, 1, tzinfo=UTC)) -> None:
    Note.objects.bulk_create(
        Note(
            production=world.production,
            rig=world.rig,
            words=f"Word {n}",
            verdict="keep",
            written_by=world.engineer,
            written_at=start + timedelta(minutes=37 * n),
        )
        for n in range(count)
    )


def test_a_production_in_which_nothing_happened(client: Client, world: World) -> None:
    empty = Production.objects.create(name="Nothing yet")
    world.production.memberships.filter(role="crew").update(production=empty)
    client.force_login(world.people["crew"])
    response = client.get(reverse("notes:timeline", args=[empty.pk]))
    assert response.status_code == 200
    assert "Nothing yet" in response.content.decode()
    assert not links(response)


def test_one_mark_leads_to_its_record(client: Client, world: World) -> None:
    response = page(client, world, rig=True)
    assert [url for url, _ in links(response)] == [
        reverse("rigs:revision", args=[world.production.pk, world.rig.pk, 1])
    ]


def test_every_kind_has_its_mark_and_leads_to_its_record(client: Client, world: World) -> None:
    world.swap(world.other_mic, HIRE)
    note, trial = hear(world, "Too thin."), open_a_trial(world)
    show = play(world)
    revision = world.rig.revisions.get(number=2)
    SignOff.objects.create(
        rig=world.rig,
        revision=revision,
        revision_digest=revision.digest,
        party="player",
        decision="signed",
        name="Ines Halloran",
        at=revision.at,
        seal="0" * 64,
    )
    response = page(client, world)
    rows = {(row.kind, row.face.url) for row in response.context["timeline"].rows}
    production = world.production.pk
    change = reverse("rigs:revision", args=[production, world.rig.pk, 2])
    assert rows >= {
        (MarkKind.CHANGE, change),
        (MarkKind.NOTE, reverse("notes:note", args=[production, note.pk])),
        (MarkKind.TRIAL, reverse("notes:trial", args=[production, trial.pk])),
        (MarkKind.SIGN_OFF, change),
        (MarkKind.SHOW, reverse("rigs:show_inputs", args=[production, show.pk])),
    }
    for url, said in links(response):
        target = client.get(url if url.startswith("/") else response.request["PATH_INFO"] + url)
        assert target.status_code == 200, said


def test_what_lies_too_near_leads_to_a_closer_look_at_all_of_it(
    client: Client, world: World
) -> None:
    notes(world, 300)
    response = page(client, world)
    crowds = [(url, said) for url, said in links(response) if "look closer" in said]
    counted = [int(said.split()[0]) for _, said in crowds if " notes" in said]
    alone = [said for _, said in links(response) if said.startswith("Note")]
    assert sum(counted) + len(alone) == 300
    url, said = next(each for each in crowds if " notes" in each[1])
    closer = page(client, world, url)
    assert f"{said.split()[0]} notes" in closer.context["timeline"].counts


def test_the_list_shows_every_record_once(client: Client, world: World) -> None:
    same = datetime(2026, 5, 5, 12, tzinfo=UTC)
    notes(world, 130)
    Note.objects.filter(words__in=[f"Word {n}" for n in range(70)]).update(written_at=same)
    for _ in range(3):
        trial = open_a_trial(world)
        Trial.objects.filter(pk=trial.pk).update(opened_at=same)
    seen: list[str] = []
    query = ""
    for _ in range(6):
        response = page(client, world, query)
        seen += [f"{row.kind} {row.face.url}" for row in response.context["timeline"].rows]
        query = response.context["older_url"].removesuffix("#list")
        if not query:
            break
    assert len(seen) == len(set(seen)) == 130 + 3 + 1


def test_a_leg_is_a_stretch_of_its_own(client: Client, world: World) -> None:
    show = play(world)
    play(world, date(2026, 11, 11))
    notes(world, 1, datetime(2026, 9, 9, 23, 59, tzinfo=UTC))
    notes(world, 1, datetime(2026, 9, 10, 0, 1, tzinfo=UTC))
    response = page(client, world, f"?leg={show.leg_id}")
    assert '<p class="soft">1 show · 1 note</p>' in response.content.decode()


def test_a_rig_shows_its_own_and_the_shows(client: Client, world: World) -> None:
    play(world)
    make_rig(world.production, world.player, world.tech, "Other")
    response = page(client, world, rig=True)
    assert response.context["timeline"].counts == ["1 show", "1 change"]


@pytest.mark.parametrize(
    "query",
    [
        "?leg=x",
        f"?leg={UUID(int=0)}",
        "?from=2026-01-01",
        "?from=2026-02-01&to=2026-01-01",
        "?from=x&to=y",
        "?before=x",
        "?before=2026-01-01T00:00:00%2B00:00 note 7",
        "?before=2026-01-01T00:00:00 change 7",
    ],
)
def test_addresses_that_nobody_made_are_no_pages(client: Client, world: World, query: str) -> None:
    assert page(client, world, query).status_code == 404


def test_the_longest_stretch_there_is(client: Client, world: World) -> None:
    response = page(client, world, "?from=0001-01-02&to=9999-12-30")
    assert "1 change" in response.content.decode()
    assert page(client, world, "?from=0001-01-01&to=9999-12-31T23:59").status_code in (200, 404)


def test_an_empty_stretch_says_so(client: Client, world: World) -> None:
    response = page(client, world, "?from=2001-01-01T00:00&to=2001-01-02T00:00")
    assert "Nothing in this period" in response.content.decode()


def test_five_thousand_marks_take_no_more_queries_and_a_small_page(
    client: Client, world: World
) -> None:
    hear(world, "One.")
    with CaptureQueriesContext(
        connection,
    ) as few:
        page(client, world)
    notes(world, 5000)
    with CaptureQueriesContext(connection) as many:
        response = page(client, world)
    assert len(many) <= len(few) + 1  # one more where notes stand alone in the picture
    assert len(response.content) < 100_000
    assert sum(int(each.split()[0]) for each in response.context["timeline"].counts) == 5002
