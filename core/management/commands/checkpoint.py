"""manage.py checkpoint: put what is not there yet into the logs, and take a checkpoint of each."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from core.models import Checkpoint, Production
from core.proof.begin import begin
from core.proof.checkpoints import newest, stated, take
from core.proof.entries import Busy
from core.proof.kept import as_stated
from core.proof.key import KeyUnusable, server_key
from core.proof.timestamps import NoTimestamp, ask


class Command(BaseCommand):
    help = (
        "Take a checkpoint of each production in which something was written since the last one. "
        "Records from before there was a log are put into it first, in slices: stopped, it goes "
        "on from there. Run it once a day."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, metavar="FILE", help="write the newest of each production there"
        )
        parser.add_argument(
            "--timestamp",
            metavar="ADDRESS",
            help="with --to: have the authority there say when each was there (RFC 3161)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["timestamp"] and not options["to"]:
            raise CommandError("Say with --to in which file the timestamps are to be kept.")
        try:
            key = server_key()
        except KeyUnusable as error:
            raise CommandError(str(error)) from None
        if key is None:
            self.stdout.write(
                "There is no signing key, so checkpoints are not signed (manage.py signing_key)."
            )
        busy = [str(each) for each in Production.objects.order_by("pk") if not self._one(each)]
        if options["to"]:
            self._write(options["to"], options["timestamp"])
        if busy:
            raise CommandError(f"Others wrote all the while: {', '.join(busy)}. Run it again.")

    def _one(self, production: Production) -> bool:
        why = Checkpoint.Why.DAY if newest(production.pk) else Checkpoint.Why.FIRST
        count = begin(production)
        if count:
            self.stdout.write(f"{production}: {count} records are in its log now.")
        try:
            made = take(production.pk, why)
        except Busy:
            return False
        if made:
            signed = "" if made.signature else ", not signed"
            self.stdout.write(f"{production}: {stated(made).code}{signed}")
        return True

    def _write(self, path: Path, authority: str | None) -> None:
        rows = [newest(pk) for pk in Production.objects.order_by("pk").values_list("pk", flat=True)]
        said = [stated(row).as_json() for row in rows if row]
        if authority:
            said = [each | {"timestamp": self._stamp(each, authority)} for each in said]
        path.write_text(json.dumps(said, indent=1, ensure_ascii=False) + "\n")

    def _stamp(self, said: dict[str, Any], authority: str) -> str:
        try:
            return ask(as_stated(said), authority)
        except NoTimestamp as error:
            raise CommandError(f"{error} Nothing was written.") from None
