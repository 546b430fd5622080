"""manage.py serve: serve, and change nothing before: for a service that a machine starts."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from core.management import server


class Command(BaseCommand):
    help = (
        "Serve with the application server. Run “migrate” and “collectstatic” before, once for "
        "each release. Told to stop, it takes nothing new and finishes what is being answered."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--bind", default="127.0.0.1:8000", help="address:port to serve at")
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument(
            "--grace",
            type=int,
            default=10,
            help="for how many seconds what is being answered is waited for",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = server.address(options["bind"])
        server.probe(host, port)
        server.become(host, port, workers=options["workers"], grace_s=options["grace"])
