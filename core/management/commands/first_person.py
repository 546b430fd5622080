"""manage.py first_person: a link by which the first person of a new server sets up an account."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from core.address import base_address
from core.management.greeting import greet_first_person
from core.management.tables import need_tables


class Command(BaseCommand):
    help = (
        "Print a one-time link, and its QR code, by which the first person chooses a password and "
        "starts a production. Run it again for a new link; the old one is then closed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--name", default="", help="of the first person")
        parser.add_argument("--email", default="", help="what they log in with")
        parser.add_argument("--address", help="beginning of the link: https://notebook.example.org")

    def handle(self, *args: Any, **options: Any) -> None:
        need_tables()
        greet_first_person(
            self.stdout,
            name=options["name"],
            email=options["email"],
            base=(options["address"] or base_address()).rstrip("/"),
            ask=input if sys.stdin.isatty() else None,
        )
