"""Where the processor time of a page of the demonstration goes, by what Python was at.

    python -m tests.bench.where [part of the name of a page …]

Sampled each millisecond that the processor worked (ITIMER_PROF), so that nothing is slowed down by
being counted; pages and the database as tests.bench.pages has them.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from collections import Counter
from types import FrameType
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.test import Client

from core.models import Production, User
from notes.demo import cast
from rigs.models import Device
from tests.bench.database import own_test_database
from tests.bench.pages import pages

SECONDS = 4.0  # of the processor, for each page
# The first that fits, from the innermost frame outwards.
KINDS = {
    "composing SQL": (
        "/models/sql/",
        "/models/lookups",
        "/models/expressions",
        "/models/query_utils",
    ),
    "driver": ("/psycopg/", "/backends/", "/psycopg_"),
    "rows into objects": ("/models/base.py", "/models/query.py", "/models/fields/"),
    "words": ("/translation/", "/gettext.py", "/languages/", "/formats.py", "/dateformat"),
    "addresses": ("/urls/", "/routes.py", "/addresses.py"),
    "includes": ("loader_tags.py",),
    "variables": ("/template/base.py", "/template/context.py", "/safestring.py", "/html.py"),
    "other tags": ("/template/", "/templatetags/"),
}


def kind_of(frame: FrameType | None) -> str:
    while frame is not None:
        file = frame.f_code.co_filename
        for kind, parts in KINDS.items():
            if any(part in file for part in parts):
                return kind
        if "/core/" in file or "/rigs/" in file or "/notes/" in file:
            return "our own"
        frame = frame.f_back
    return "rest"


def sampled(client: Client, url: str) -> tuple[float, Counter[str]]:
    """Milliseconds a request, and the samples by kind."""
    seen: Counter[str] = Counter()

    def look(_: int, frame: FrameType | None) -> None:
        seen[kind_of(frame)] += 1

    client.get(url)
    before: Any = signal.signal(signal.SIGPROF, look)
    began, count = time.process_time(), 0
    signal.setitimer(signal.ITIMER_PROF, 0.001, 0.001)
    while time.process_time() - began < SECONDS:
        client.get(url)
        count += 1
    signal.setitimer(signal.ITIMER_PROF, 0)
    signal.signal(signal.SIGPROF, before)
    return (time.process_time() - began) * 1000 / count, seen


def main(wanted: list[str]) -> None:
    call_command("demo", stdout=open(os.devnull, "w"))  # noqa: SIM115
    place = Production.objects.get(name=cast.PRODUCTION)
    for number in range(200 - Device.objects.filter(production=place).count()):
        Device.objects.create(production=place, name=f"Hollow {number}", form=Device.Form.MIC)
    client = Client(headers={"host": "localhost"})
    client.force_login(User.objects.get(email=cast.ENGINEER))
    kinds = [*KINDS, "our own", "rest"]
    print(f"| page | ms | {' | '.join(kinds)} |")
    print("|---|" + "--:|" * (len(kinds) + 1))
    for name, url in pages(place).items():
        if wanted and not any(each in name for each in wanted):
            continue
        ms, seen = sampled(client, url)
        shares = (ms * seen[kind] / seen.total() for kind in kinds)
        print(f"| {name} | {ms:.0f} | {' | '.join(f'{each:.1f}' for each in shares)} |", flush=True)


if __name__ == "__main__":
    with own_test_database():
        main(sys.argv[1:])
