"""manage.py import: load a production that `manage.py export` wrote."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from core.management.tables import need_tables
from notes.archive.checks import ArchiveRefused
from notes.archive.load import load
from notes.archive.rows import NotTaken


class Command(BaseCommand):
    help = "Load a production from an archive: all of it, verified, or nothing (docs/archive.md)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("source", type=Path)
        parser.add_argument("--digest", default="", help="of the manifest, as the export said it")

    def handle(self, *args: Any, **options: Any) -> None:
        need_tables()
        try:
            production = load(options["source"], digest=options["digest"])
        except ArchiveRefused as error:
            raise CommandError(f"Refused. Nothing was imported. {error}") from None
        except NotTaken as error:
            raise CommandError(f"Nothing was imported. {error}") from None
        except OSError as error:
            raise CommandError(f"Nothing was imported: {error.strerror or error}.") from None
        self.stdout.write(self.style.SUCCESS(f"{production} is here, and verified."))
        self.stdout.write("People without an account here set a password by “forgotten” at log-in.")
