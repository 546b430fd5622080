"""A database for what is measured, made as tests make theirs and gone afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.test.runner import DiscoverRunner


@contextmanager
def own_test_database() -> Iterator[None]:
    runner = DiscoverRunner(verbosity=0, interactive=False)
    made = runner.setup_databases()
    try:
        yield
    finally:
        runner.teardown_databases(made)
