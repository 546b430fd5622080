"""manage.py export: a whole production as one file."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from core.management.tables import need_tables
from core.models import Checkpoint, Production
from core.proof.begin import begin
from core.proof.checkpoints import code_of, take
from core.proof.entries import Busy
from notes.archive.schema import schema
from notes.archive.writer import MissingFile, export


class Command(BaseCommand):
    help = "Write a production, its history, photos and sounds into one file (docs/archive.md)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("production", nargs="?", help="its id, or its name if only one has it")
        parser.add_argument("target", nargs="?", type=Path, help="the file to write")
        parser.add_argument("--schema", action="store_true", help="print the JSON Schema instead")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["schema"]:
            self.stdout.write(json.dumps(schema(), indent=1, sort_keys=True))
            return
        if not options["production"] or not options["target"]:
            raise CommandError("Say which production, and which file to write.")
        need_tables()
        target: Path = options["target"]
        there = f"There is a file {target} already; it is left as it is."
        # Before the work of an export, which takes long; the writer looks again at the end.
        if target.exists():
            raise CommandError(there)
        try:
            production = self._production(options["production"])
            code = self._checkpoint(production)
            digest = export(production, target)
        except MissingFile as error:
            raise CommandError(f"Nothing was written. {error}") from None
        # Somebody made the file since it was looked for.
        except FileExistsError:
            raise CommandError(there) from None
        except OSError as error:
            raise CommandError(f"{target} cannot be written: {error.strerror}.") from None
        self.stdout.write(self.style.SUCCESS(f"{target}: {target.stat().st_size} bytes."))
        self.stdout.write(f"Digest of its manifest, to be kept apart from it: {digest}")
        if code:
            self.stdout.write(f"Checkpoint of its log, to be kept apart as well: {code}")

    def _checkpoint(self, production: Production) -> str:
        """The code of a checkpoint that has all that is exported, as far as others let it."""
        begin(production)
        with suppress(Busy):
            take(production.pk, Checkpoint.Why.ASKED)
        return code_of(production.pk)

    def _production(self, key: str) -> Production:
        try:
            productions = list(Production.objects.filter(pk=UUID(key)))
        except ValueError:
            productions = list(Production.objects.filter(name=key))
        if len(productions) != 1:
            many = "More than one production is called" if productions else "There is no production"
            raise CommandError(f"{many} {key}.")
        return productions[0]
