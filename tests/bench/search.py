"""How long a search takes among many entries, and what putting them in costs.

    python -m tests.bench.search 100000

On a test database, with and without DATABASE_URL. Words are as frequent as words are (the n-th 1/n
times as often as the first: Zipf's law), of 30,000.
"""

from __future__ import annotations

import os
import random
import sys
from collections.abc import Callable, Iterator
from statistics import median
from time import perf_counter
from uuid import UUID, uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection, transaction
from django.test.runner import DiscoverRunner

from core.models import Production, SearchEntry
from core.places import IndexEntry
from core.search.backend import index_all, search

SYLLABLES = [c + v for c in "bdfgklmnprstvz" for v in "aeiou"]
VOCABULARY = 30_000
AT_ONCE = 2000


def vocabulary(chance: random.Random) -> list[str]:
    words: dict[str, None] = {}
    while len(words) < VOCABULARY:
        words["".join(chance.choices(SYLLABLES, k=chance.choice((1, 2, 2, 3, 3, 4))))] = None
    return list(words)


def entries(
    production: UUID, size: int, words: list[str], chance: random.Random
) -> Iterator[list[IndexEntry]]:
    weights = [1 / rank for rank in range(1, len(words) + 1)]
    kinds = SearchEntry.Kind.values
    for start in range(0, size, AT_ONCE):
        picked = iter(chance.choices(words, weights, k=AT_ONCE * 30))
        yield [
            IndexEntry(
                production,
                chance.choice(kinds[:3]),
                uuid4(),
                " ".join(next(picked) for _ in range(4)),
                " ".join(next(picked) for _ in range(20)),
                "/x/",
            )
            for _ in range(min(AT_ONCE, size - start))
        ]


def times(act: Callable[[], object], count: int = 15) -> str:
    taken = []
    for _ in range(count):
        began = perf_counter()
        act()
        taken.append((perf_counter() - began) * 1000)
    return f"median {median(taken):.2f} ms, most {max(taken):.2f} ms"


def wrong(word: str) -> str:
    return word[:2] + "q" + word[3:]


def main(size: int) -> None:
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        measure(size)
    finally:
        runner.teardown_databases(databases)


def measure(size: int) -> None:
    # A fixed seed: every run searches the same words.
    chance = random.Random(7)
    words = vocabulary(chance)
    production = Production.objects.create(name="Bench of the search")
    began = perf_counter()
    with transaction.atomic():
        for some in entries(production.pk, size, words, chance):
            index_all(some)
    print(f"{connection.vendor}, {size} entries put in: {perf_counter() - began:.1f} s")
    with connection.cursor() as cursor:
        # As a database in use has it: without statistics PostgreSQL may plan otherwise.
        cursor.execute("ANALYZE")
    # The first search fills what is missing of the index; it is not to be timed.
    search(production, "begin")
    for name, text in asked(words).items():
        found = search(production, text)
        taken = times(lambda text=text: search(production, text))  # type: ignore[misc]
        print(f"{name}: {taken}; {len(found.hits)} on the page")
    weights = [1 / rank for rank in range(1, len(words) + 1)]
    one = IndexEntry(production.pk, SearchEntry.Kind.NOTE, uuid4(), "", "", "/x/")

    def put_in() -> None:
        index_all(
            [one._replace(subject=uuid4(), body=" ".join(chance.choices(words, weights, k=20)))]
        )

    print(f"one entry put in: {times(put_in)}")


def asked(words: list[str]) -> dict[str, str]:
    """Of long words the first stands in very many entries, the last in one or two."""
    long = [word for word in words if len(word) >= 6]
    return {
        "frequent": long[0],
        "middling": long[300],
        "seldom": long[-50],
        "two words": f"{long[5]} {long[40]}",
        "a beginning": words[0][:2],
        "no hit": "qqqqqqq",
        "frequent, a letter wrong": wrong(long[0]),
        "middling, a letter wrong": wrong(long[300]),
        "seldom, a letter wrong": wrong(long[-50]),
        "two words, both wrong": f"{wrong(long[5])} {wrong(long[40])}",
    }


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
