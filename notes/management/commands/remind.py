"""manage.py remind: for the daily timer. Sends nobody a second mail on the same day."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from core.address import base_address
from notes.handover.newest import newest_by_leg
from notes.handover.remind import legs_to_remind, remind


class Command(BaseCommand):
    help = (
        "Remind people by e-mail of what they have not read and not answered in the published "
        "handovers of legs that start soon; at most once a day."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--days", type=int, default=7, help="Legs that start within so many days (7)."
        )
        parser.add_argument(
            "--address", help="Beginning of the links: https://notebook.example.org"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        base = (options["address"] or base_address()).rstrip("/")
        newest = newest_by_leg(legs_to_remind(options["days"]))
        failed = 0
        for published in newest.values():
            sent = remind(published, by=None, base=base)
            failed += len(sent.failed)
            self.stdout.write(
                f"{published.production} · {published}: {len(sent.to)} reminded, "
                f"{len(sent.not_again)} were already today, {len(sent.failed)} not reached."
            )
        if failed:
            # After all are tried. The exit code tells the timer that runs this.
            raise CommandError("Not every mail could be sent; the log says why.")
