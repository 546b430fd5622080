"""manage.py measure_clips: figures of clips by the newest method."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from notes.clips.upkeep import measure_again, out_of_date


class Command(BaseCommand):
    help = "Measure again what was measured by an older method. Safe to stop and to run again."

    def handle(self, *args: Any, **options: Any) -> None:
        done = 0
        for clip in out_of_date().iterator():
            try:
                measure_again(clip)
            except FileNotFoundError:
                self.stderr.write(f"{clip} ({clip.pk}): the file is missing.")
            else:
                done += 1
        self.stdout.write(self.style.SUCCESS(f"{done} clips measured."))
