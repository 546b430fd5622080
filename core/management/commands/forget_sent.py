"""manage.py forget_sent: drop what is remembered of requests that were carried out long ago, where
invitations were sent that are over, and old results that were kept."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand

from core import clock
from core.kept.shelf import drop_old
from core.models import DoneRequest
from core.services.invitations import forget_addresses

ADDRESS_DAYS = 30


class Command(BaseCommand):
    help = (
        "Forget requests that were carried out long ago. A telephone that never heard the answer "
        "and comes back after that time would carry its request out again. E-mail addresses of "
        "invitations go once they are used or withdrawn, and 30 days after they ended."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--days", type=int, default=400, help="how long they are remembered")

    def handle(self, *args: Any, **options: Any) -> None:
        before = clock.now() - timedelta(days=options["days"])
        gone, _ = DoneRequest.objects.filter(at__lt=before).delete()
        drop_old()
        addresses = forget_addresses(days=ADDRESS_DAYS)
        self.stdout.write(f"{gone} forgotten, and {addresses} addresses of invitations.")
