"""manage.py signing_key: make the key by which this server signs checkpoints."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from core.proof.key import make, name_of_key


class Command(BaseCommand):
    help = (
        "Make the key by which checkpoints are signed, in the file that TONELEDGER_SIGNING_KEY "
        "names (or signing_key in the data folder), which nobody else may read. Keep a copy of it "
        "away from copies of the database."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = settings.SIGNING_KEY or settings.DATA_DIR / "signing_key"
        try:
            key = make(path)
        except FileExistsError:
            raise CommandError(f"There is a file {path} already; it stays as it is.") from None
        except OSError as error:
            raise CommandError(f"{path} cannot be written ({error.strerror}).") from None
        self.stdout.write(f"The key is in {path}. Others know it by {name_of_key(key.public)}")
        self.stdout.write(f"Public key (Ed25519): {key.public}")
        self.stdout.write("Start the service again, so that it signs.")
