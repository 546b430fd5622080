"""manage.py drop_unused_sounds: forget what was sent and never used."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from notes.clips.upkeep import drop_unused


class Command(BaseCommand):
    help = "Delete sounds that no clip was cut from for a day, and files that nothing names."

    def handle(self, *args: Any, **options: Any) -> None:
        gone = list(drop_unused())
        self.stdout.write(self.style.SUCCESS(f"{len(gone)} sounds and files deleted."))
