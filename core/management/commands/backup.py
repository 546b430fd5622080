"""manage.py backup: database and files into a folder, while people write."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from core.management.tables import need_tables
from core.operation import backup


class Command(BaseCommand):
    help = "Back up the database as it is at one moment, and all photos and sounds."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="where backups lie, outside the data folder")
        parser.add_argument("--keep", type=int, help="then delete all but so many")
        parser.add_argument(
            "--prove",
            nargs="?",
            const="",
            metavar="DATABASE_URL",
            help="restore it and verify what came back: on SQLite into a folder that goes "
            "again, on PostgreSQL into the empty database named here, which keeps it",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        folder, keep, prove = options["folder"].absolute(), options["keep"], options["prove"]
        if keep is not None and keep < 1:
            raise CommandError("--keep takes how many to keep, at least 1.")
        if folder.is_relative_to(Path(settings.MEDIA_ROOT).absolute()):
            raise CommandError("A backup among the photos and sounds would be of itself, too.")
        if prove == "" and connection.vendor != "sqlite":
            raise CommandError("Name an empty database: --prove postgres://…")
        need_tables()
        try:
            made = backup.take(folder)
            if prove is not None:
                self._prove(made, prove)
            gone = backup.keep(folder, keep) if keep else []  # only after what was new is proven
        except backup.BackupFailed as error:
            raise CommandError(str(error)) from None
        files = len(made.manifest["files"])
        self.stdout.write(self.style.SUCCESS(f"{made.place}: the database and {files} files."))
        for name in gone:
            self.stdout.write(f"{name} deleted.")

    def _prove(self, made: backup.Backup, database: str) -> None:
        with tempfile.TemporaryDirectory() as place:
            url = database or f"sqlite:///{place}/proof.sqlite3"
            again = {"DATABASE_URL": url, "TONELEDGER_DATABASE_DIRECT": ""}
            again |= {"TONELEDGER_MEDIA": f"{place}/media", "TONELEDGER_S3_BUCKET": ""}
            words = [sys.executable, "manage.py", "restore", str(made.place)]
            done = subprocess.run(  # noqa: S603 - ourselves, on another database
                words,
                env={**os.environ, **again},
                cwd=settings.BASE_DIR,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                text=True,
                check=False,
            )
        if done.returncode:
            raise CommandError(f"{made.place} does not come back: {done.stderr.strip()}")
