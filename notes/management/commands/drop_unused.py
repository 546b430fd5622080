"""manage.py drop_unused: forget what was sent and never used."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from core.uploads import pieces
from notes.clips import upkeep
from rigs.photos import storage

SWEEPS = (
    ("sounds and their files", upkeep.drop_unused),
    ("files of photos", storage.drop_unused),
    ("uploads and their pieces", pieces.drop_unused),
)


class Command(BaseCommand):
    help = (
        "Delete sounds that no clip was cut from for a day, uploads that nobody went on with for a "
        "day or that a form took an hour ago, and files that nothing names."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        for what, drop_unused in SWEEPS:
            gone = sum(1 for _ in drop_unused())
            self.stdout.write(self.style.SUCCESS(f"{gone} {what} deleted."))
