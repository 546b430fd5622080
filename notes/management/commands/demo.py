"""manage.py demo: load the demonstration, once; or remove it."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from core import clock
from core.models import Production
from core.search.sources import reindex
from notes.demo import (
    backline,
    cast,
    changeovers,
    customs,
    forgotten,
    line_checks,
    mixes,
    patched,
    plotted,
    recorded,
    shared,
    show_days,
    show_sets,
    songs,
    story,
    tonight,
    whole_sessions,
)
from notes.demo.apply import apply
from notes.demo.remove import CannotBeRemoved, remove
from notes.demo.stage import set_stage
from notes.demo.written import written_in
from notes.models import Demonstration


class Command(BaseCommand):
    help = (
        "Load the invented act with its rigs, notes, trials, sign-offs and handovers, into a "
        "database that holds no production; with --remove, take it out again, whole."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--remove",
            action="store_true",
            help="take it out, with its people and files; refused where somebody wrote into it",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["remove"]:
            self._remove()
            return
        if Production.objects.filter(name=cast.PRODUCTION).exists():
            self.stdout.write("The demonstration is there already; nothing was changed.")
        else:
            self._refuse_beside_another()
            self._load()
            self.stdout.write(self.style.SUCCESS("The demonstration is loaded."))
        self._log_ins()

    def _refuse_beside_another(self) -> None:
        other = Production.objects.first()
        if other is not None:
            raise CommandError(
                f"The demonstration is not loaded: this database holds “{other}”, and invented "
                "people have no business beside it. Give the demonstration a database of its own "
                "(DATABASE_URL or TONELEDGER_DATA)."
            )

    @transaction.atomic
    def _load(self) -> None:
        with clock.set_to(story.at(9, 1, 9)):
            stage = set_stage()
        modules = (
            story,
            show_days,
            backline,
            tonight,
            show_sets,
            songs,
            line_checks,
            mixes,
            patched,
            plotted,
            changeovers,
            customs,
            recorded,
            whole_sessions,
            shared,
            forgotten,
        )
        # From several modules, and played in the order of time: later ones build on earlier ones.
        events: list[Any] = [event for each in modules for event in each.EVENTS]
        for event in sorted(events, key=lambda event: event.when):
            with clock.set_to(event.when):
                apply(event, stage)
        reindex(stage.production)  # now, rather than at somebody's first search
        Demonstration.objects.create(
            production=stage.production, written=written_in(stage.production)
        )

    def _remove(self) -> None:
        try:
            remove()
        except CannotBeRemoved as refused:
            raise CommandError(str(refused)) from None
        self.stdout.write(self.style.SUCCESS("The demonstration is gone, with its people."))

    def _log_ins(self) -> None:
        # The password is public; core.access.accounts closes these accounts in production mode.
        if not settings.LOCAL:
            self.stdout.write("Its people cannot log in here: this server is in production mode.")
            return
        self.stdout.write(f"\nLog in with one of these; the password is {cast.PASSWORD}\n")
        for person in cast.PEOPLE:
            roles = ", ".join(str(role.label) for role in person.roles)
            self.stdout.write(f"  {person.email:<28} {person.name}, {roles}")
