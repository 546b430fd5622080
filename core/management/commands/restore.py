"""manage.py restore: a backup into an empty database, and verified."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from core.operation import backup


class Command(BaseCommand):
    help = (
        "Restore a backup into the database and the storage that the environment names, bring it "
        "up to this version, fill the search, and verify all of it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("backup", type=Path, help="one backup, or their folder for the newest")
        parser.add_argument(
            "--without-files",
            action="store_true",
            help="where the storage has them already; what is missing is then named",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        place: Path = options["backup"].absolute()
        newest = backup.all_in(place)[-1:]
        try:
            count = backup.restore(
                newest[0] if newest else backup.Backup(place),
                with_files=not options["without_files"],
            )
        except backup.BackupFailed as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"The database and {count} files are back.")
        call_command("migrate", verbosity=0, interactive=False)
        # A backup of a release without a log: what is there begins it, or verify would miss it.
        call_command("checkpoint", stdout=self.stdout)
        call_command("verify", stdout=self.stdout)
