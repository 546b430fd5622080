"""The overview of the demonstration, for each role: queries, time, bytes packed.

TONELEDGER_MODE=local TONELEDGER_DATA=/tmp/overview python manage.py start --no-serve
TONELEDGER_MODE=local TONELEDGER_DATA=/tmp/overview python -m tests.bench.overview
"""

from __future__ import annotations

import gzip
import os
import statistics
import time

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")

import django

django.setup()

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.models import Production, User
from notes.demo import cast

ROLES = (cast.ENGINEER, cast.TECH, cast.BASS_PLAYER, cast.NEW_ENGINEER, cast.MANAGER)
TIMES = 20


def main() -> None:
    url = Production.objects.get(name=cast.PRODUCTION).get_absolute_url()
    for email in ROLES:
        client = Client(headers={"host": "localhost"})
        client.force_login(User.objects.get(email=email))
        client.get(url)
        with CaptureQueriesContext(connection) as asked:
            page = client.get(url)
        queries = len(asked)  # before the next request begins the log anew
        took = []
        for _ in range(TIMES):
            began = time.perf_counter()
            client.get(url)
            took.append(time.perf_counter() - began)
        packed = len(gzip.compress(page.content))
        median = statistics.median(took) * 1000
        print(f"{email:<26} {queries:3} queries  {median:5.0f} ms  {packed / 1000:5.1f} kB")


main()
