"""The pages a person opens, of the huge production of the fleet and of a small one: queries, ms of
the processor, ms of the database, kilobytes packed.

    export DATABASE_URL=postgres://root@127.0.0.1:5432/fleet    # as tests.bench.fleet made it
    python -m tests.bench.fleet_pages [part of the name of a page …]

The least of five, in turn, since that is what other work of the machine disturbs least. Processor
time is that of this process; the time of the database is that of the queries as they are waited
for, and so has the driver in it.
"""

from __future__ import annotations

import gzip
import os
import sys
import time
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection
from django.test import Client
from django.urls import reverse

from core.models import Leg, Membership, Production, Show
from core.models.roles import Role
from notes.models import Note, PublishedHandover
from rigs.models import Input, Rig, Unit
from tests.bench.fleet import HUGE, SMALL
from tests.bench.pages import OF_PRODUCTION

TIMES = 5


class Asked:
    """Counts queries and what they are waited for, in seconds."""

    count, seconds = 0, 0.0

    def __call__(self, execute: Any, *args: Any) -> Any:
        began = time.perf_counter()
        try:
            return execute(*args)
        finally:
            self.count += 1
            self.seconds += time.perf_counter() - began


def pages(place: Production) -> dict[str, str]:
    def at(name: str, *keys: object) -> str:
        return reverse(name, args=[place.pk, *keys])

    rig = Rig.objects.filter(production=place).order_by("player__position")[0]
    entry = Input.objects.filter(rig=rig).order_by("number")[0]
    unit = Unit.objects.filter(rig=rig).order_by("position")[0]
    leg = Leg.objects.filter(production=place).latest("starts_on")
    show = Show.objects.filter(leg=leg).order_by("held_on")[0]
    note = Note.objects.filter(production=place).latest("written_at")
    published = PublishedHandover.objects.filter(production=place).latest("number")
    return {
        "front page": "/",
        **{name.split(",")[0]: at(view) for name, view in OF_PRODUCTION.items()},
        "rig": rig.get_absolute_url(),
        "history of a rig": at("rigs:history", rig.pk),
        "input": at("rigs:input", rig.pk, entry.pk),
        "unit": at("rigs:unit", rig.pk, unit.pk),
        "note": note.get_absolute_url(),
        "notes that are open": f"{at('notes:index')}?state=open",
        "notes that are settled": f"{at('notes:index')}?state=settled",
        "leg": leg.get_absolute_url(),
        "working copy": at("notes:handover", leg.pk),
        "published handover, short": published.get_absolute_url(),
        "published handover, long": f"{published.get_absolute_url()}?long",
        "findings of a show": at("rigs:show_findings", show.pk),
        "line check": at("notes:line_check", show.pk),
        "input list": at("rigs:input_list"),
        "search": f"{at('core:search')}?q=chorus",
        "labels PDF": at("rigs:labels"),
    }


def measured(client: Client, url: str) -> tuple[int, float, float, int]:
    """Queries, least ms of the processor, least ms of the database, bytes packed."""
    client.get(url)
    worked, waited = [], []
    for _ in range(TIMES):
        asked, began = Asked(), time.process_time()
        with connection.execute_wrapper(asked):
            answer = client.get(url)
            body = answer.getvalue()
        worked.append((time.process_time() - began) * 1000)
        waited.append(asked.seconds * 1000)
        assert answer.status_code == 200, (url, answer.status_code)
    return asked.count, min(worked), min(waited), len(gzip.compress(body))


def main(wanted: list[str]) -> None:
    clients, places = {}, {}
    for name in (HUGE, SMALL):
        places[name] = Production.objects.get(name=name)
        crew = Membership.objects.filter(production=places[name], role=Role.ENGINEER)
        clients[name] = Client(headers={"host": "localhost"})
        clients[name].force_login(crew.select_related("user")[0].user)
    print(f"{connection.vendor}, {Production.objects.count()} productions", end=", ")
    print(f"load {os.getloadavg()[0]:.1f}")
    print("| page | queries | ms | database ms | kB | small: ms | database ms | ratio |")
    print("|---|--:|--:|--:|--:|--:|--:|--:|")
    urls = {name: pages(place) for name, place in places.items()}
    for page in urls[HUGE]:
        if wanted and not any(each in page for each in wanted):
            continue
        queries, ms, waited, size = measured(clients[HUGE], urls[HUGE][page])
        _, small_ms, small_waited, _ = measured(clients[SMALL], urls[SMALL][page])
        ratio = (ms + waited) / (small_ms + small_waited)
        print(
            f"| {page} | {queries} | {ms:.0f} | {waited:.0f} | {size / 1000:.0f} "
            f"| {small_ms:.0f} | {small_waited:.0f} | {ratio:.1f} |",
            flush=True,
        )


if __name__ == "__main__":
    main(sys.argv[1:])
