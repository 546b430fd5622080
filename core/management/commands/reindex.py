"""manage.py reindex: fill the search of every production anew from what is on file."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from core.models import Production
from core.search.sources import reindex


class Command(BaseCommand):
    help = "Rebuild the search index. Nothing else changes; it may run while people work."

    def handle(self, *args: Any, **options: Any) -> None:
        for production in Production.objects.order_by("name"):
            self.stdout.write(f"{production}: {reindex(production)} entries")
