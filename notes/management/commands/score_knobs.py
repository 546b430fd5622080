"""manage.py score_knobs FOLDER: how well turned knobs are read from a crew's own photos."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from rigs.knob_check.pairs import CAPS, READ, BadFolder, tries_of
from rigs.knob_check.scoring import HEAD, tally


class Command(BaseCommand):
    help = (
        f"Read the photos of a folder and score the turns against what was read by eye. {CAPS} and "
        f"{READ} say where the caps are and how they stood (docs/knob-check.md)."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            tries = list(tries_of(options["folder"]))
        except BadFolder as error:
            raise CommandError(str(error)) from None
        for words, each in tries:
            told = "cannot tell" if each.told is None else f"{each.told:+.0f}°"
            eye = f"{each.true:+.0f}°" if each.readable else "nobody could say"
            self.stdout.write(f"{words}: {told}, by eye {eye}")
        self.stdout.write(f"| {HEAD} |")
        self.stdout.write(f"| {tally(each for _, each in tries).row()} |")
