"""What the first look at a page costs that is kept afterwards, and every look after it.

    export DATABASE_URL=postgres://root@127.0.0.1:5432/fleet    # as tests.bench.fleet made it
    python -m tests.bench.kept

Of the huge production, in English and in German: queries, ms of the processor and of the database,
the least of three. Then how much is kept; and last what it costs to make a published handover ready
for readers of both languages and lengths, beside four first looks.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from itertools import product

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.conf import settings
from django.db import connection
from django.db.models import Count, Sum
from django.test import Client
from django.urls import reverse
from django.utils import translation

from core.kept.shelf import Shelf
from core.models import KeptResult, Leg, Membership, Production
from core.models.roles import Role
from core.one_pass import one_pass
from notes.handover import ready
from notes.handover.orders import ORDERS
from notes.handover.said import Way, published_said, since_said
from notes.models import PublishedHandover
from tests.bench.fleet import HUGE
from tests.bench.fleet_pages import Asked

TIMES, LANGUAGES = 3, ("en-gb", "de")


def look(client: Client, url: str) -> tuple[int, float, float]:
    def get() -> None:
        assert client.get(url).status_code == 200

    return cost(get)


def cost(make: Callable[[], None]) -> tuple[int, float, float]:
    asked, began = Asked(), time.process_time()
    with connection.execute_wrapper(asked):
        make()
    return asked.count, (time.process_time() - began) * 1000, asked.seconds * 1000


def main() -> None:
    place = Production.objects.get(name=HUGE)
    leg = Leg.objects.filter(production=place).latest("starts_on")
    published = PublishedHandover.objects.filter(production=place).latest("number")
    urls = {
        "working copy": reverse("notes:handover", args=[place.pk, leg.pk]),
        "published handover, short": published.get_absolute_url(),
        "published handover, long": f"{published.get_absolute_url()}?long",
        "timeline": reverse("notes:timeline", args=[place.pk]),
        "changes": reverse("notes:changes", args=[place.pk]),
    }
    client = Client(headers={"host": "localhost"})
    client.force_login(Membership.objects.filter(production=place, role=Role.ENGINEER)[0].user)
    print(f"{connection.vendor}, load {os.getloadavg()[0]:.1f}")
    print("| page | language | first: queries | ms | database ms | then: queries | ms | db ms |")
    print("|---|---|--:|--:|--:|--:|--:|--:|")
    for page, url in urls.items():
        for language in LANGUAGES:
            client.cookies[settings.LANGUAGE_COOKIE_NAME] = language
            first, then = [], []
            for _ in range(TIMES):
                KeptResult.objects.all().delete()
                first.append(look(client, url))
                then.append(look(client, url))
            figures = [min(each) for rows in (first, then) for each in zip(*rows, strict=True)]
            print(f"| {page} | {language} | {' | '.join(f'{each:.0f}' for each in figures)} |")
    kept = KeptResult.objects.aggregate(n=Count("pk"), bytes=Sum("size"))
    print(f"\n{kept['n']} results of the last page are kept, {kept['bytes']} bytes.")
    made_ready(published)


def made_ready(published: PublishedHandover) -> None:
    """In both languages and lengths, in one order: by looks of their own, and in one pass."""
    order, until = ORDERS["foh"], time.monotonic() + 3600

    def looks() -> None:
        for language, long in product(LANGUAGES, (False, True)):
            with translation.override(language):
                shelf = Shelf(published.production_id)
                published_said(shelf, published, Way(order, long))
                since_said(shelf, published)

    def one() -> None:
        shelf = Shelf(published.production_id)
        with one_pass():
            for language in LANGUAGES:
                with translation.override(language):
                    ready.make(shelf, published, [order.key], until)

    print("\n| made ready | queries | ms | database ms |\n|---|--:|--:|--:|")
    for name, make in (("four first looks", looks), ("one pass", one)):
        rows = []
        for _ in range(TIMES):
            KeptResult.objects.all().delete()
            rows.append(cost(make))
        figures = [min(each) for each in zip(*rows, strict=True)]
        print(f"| {name} | {' | '.join(f'{each:.0f}' for each in figures)} |")


if __name__ == "__main__":
    main()
