"""manage.py reindex: fill the search of every production anew from what is on file."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from core.models import Production
from core.search.sources import complete, reindex


class Command(BaseCommand):
    help = (
        "Rebuild the search index, one production after the other, in small steps. Nothing else "
        "changes; it may run while people work."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--missing",
            action="store_true",
            help="put in only what is not there: after a release, or to go on after a stop",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        fill = complete if options["missing"] else reindex
        productions = list(Production.objects.order_by("name", "pk"))
        for place, production in enumerate(productions, 1):
            count = fill(production)
            self.stdout.write(f"{place} of {len(productions)}: {production}: {count} entries")
