"""manage.py demo: load the demonstration, once."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from core import clock
from core.models import Production
from core.search.sources import reindex
from notes.demo import cast, line_checks, recorded, show_days, songs, story
from notes.demo.play import play
from notes.demo.stage import set_stage


class Command(BaseCommand):
    help = "Load the invented act with its rigs, notes, trials, sign-offs and handovers."

    def handle(self, *args: Any, **options: Any) -> None:
        if Production.objects.filter(name=cast.PRODUCTION).exists():
            self.stdout.write("The demonstration is there already; nothing was changed.")
        else:
            self._load()
            reindex(
                Production.objects.get(name=cast.PRODUCTION)
            )  # now, rather than at somebody's first search
            self.stdout.write(self.style.SUCCESS("The demonstration is loaded."))
        self._log_ins()

    @transaction.atomic
    def _load(self) -> None:
        with clock.set_to(story.at(9, 1, 9)):
            stage = set_stage()
        modules = (story, show_days, songs, line_checks, recorded)
        events: list[Any] = [event for each in modules for event in each.EVENTS]
        for event in sorted(events, key=lambda event: event.when):
            with clock.set_to(event.when):
                play(event, stage)

    def _log_ins(self) -> None:
        self.stdout.write(f"\nLog in with one of these; the password is {cast.PASSWORD}\n")
        for person in cast.PEOPLE:
            roles = ", ".join(role.label for role in person.roles)
            self.stdout.write(f"  {person.email:<28} {person.name}, {roles}")
