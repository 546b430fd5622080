"""manage.py measure_clips: clips, and kept measurements of two of them, by the newest method."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from core.stored_files import StoredFileUnreadable
from notes.captures import store
from notes.captures.measure import CannotMeasure
from notes.clips.upkeep import look_up_beginnings, measure_again, out_of_date


class Command(BaseCommand):
    help = "Measure again what was measured by an older method. Safe to stop and to run again."

    def handle(self, *args: Any, **options: Any) -> None:
        done = 0
        for clip in out_of_date().iterator():
            try:
                measure_again(clip)
            # One damaged file does not keep the others from being measured.
            except StoredFileUnreadable as error:
                self.stderr.write(f"{clip} ({clip.pk}): {error}")
            else:
                done += 1
        looked = look_up_beginnings()
        words = f"{done} clips measured, {looked} sounds looked at for where they begin."
        self.stdout.write(self.style.SUCCESS(words))
        self._measure_pairs()

    def _measure_pairs(self) -> None:
        for pair in store.of_older_methods():
            try:
                holds = store.measure_again(pair)
            except CannotMeasure as error:
                self.stderr.write(f"{pair} ({pair.pk}): {error}")
            else:
                state = "measured again" if holds else "taken back: today's method refuses it"
                self.stdout.write(f"{pair.rig}: {pair}: {state}.")
