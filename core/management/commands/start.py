"""manage.py start: set up everything that is missing, and serve.

With the demonstration, or empty for a production of one's own; to this machine, or to the phones in
the room as well.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from core.management import local_network, server
from core.management.greeting import FirstPersonMissing, greet_first_person
from core.proof.key import make

GRACE_S = 2  # somebody waits for it to end


class Command(BaseCommand):
    help = (
        "Prepare the database and static files, load the demonstration once (or, with --empty, "
        "print the link by which the first person sets up an account), and serve with a real "
        "application server. Safe to run again: nothing is lost."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--bind", default="127.0.0.1:8000", help="address:port to serve at")
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument(
            "--empty",
            action="store_true",
            help="without the demonstration, for an act of your own",
        )
        parser.add_argument("--name", default="", help="of the first person, with --empty")
        parser.add_argument("--email", default="", help="what the first person logs in with")
        parser.add_argument(
            "--lan",
            nargs="?",
            const="",
            metavar="ADDRESS",
            help="serve to the phones in this network, without HTTPS; by which address of this "
            "machine, if the one found is not theirs",
        )
        parser.add_argument("--no-serve", action="store_true", help="prepare only")

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = server.address(options["bind"])
        lan = None if options["lan"] is None else self._lan(options["lan"])
        reached = f"http://{lan or ('127.0.0.1' if host == server.EVERYWHERE else host)}:{port}"
        call_command("migrate", verbosity=0, interactive=False)
        call_command("collectstatic", verbosity=0, interactive=False)
        self._key()
        if options["empty"]:
            self._greet(options["name"], options["email"], reached)
        else:
            self._demonstration()
        self._checkpoint()
        if options["no_serve"]:
            return
        server.probe(server.EVERYWHERE if lan else host, port)
        if lan:
            local_network.allow(lan, port)
            local_network.print_address(self.stdout, lan, port)
        self.stdout.write(self.style.SUCCESS(f"\nToneledger is at {reached}/"))
        self.stdout.write("Stop it with Ctrl-C.\n")
        self.stdout.flush()
        server.become(
            server.EVERYWHERE if lan else host, port, workers=options["workers"], grace_s=GRACE_S
        )

    def _key(self) -> None:
        """Before the first record, so that it bears its mark."""
        if settings.SIGNING_KEY is None:
            settings.SIGNING_KEY = settings.DATA_DIR / "signing_key"
            make(settings.SIGNING_KEY)

    def _checkpoint(self) -> None:
        """Put what was written before there was a log into it."""
        try:
            call_command("checkpoint", stdout=self.stdout)
        except CommandError as later:  # the service starts all the same
            self.stdout.write(str(later))

    def _lan(self, given: str) -> str:
        return local_network.checked(given or local_network.address_here())

    def _greet(self, name: str, email: str, reached: str) -> None:
        try:
            greet_first_person(
                self.stdout,
                name=name,
                email=email,
                base=reached,
                ask=input if sys.stdin.isatty() else None,
            )
        except (
            FirstPersonMissing
        ) as how:  # a service that a machine started: it serves all the same
            self.stdout.write(self.style.WARNING(str(how)))

    def _demonstration(self) -> None:
        try:
            call_command("demo", stdout=self.stdout)
        # A database in use by an act refuses the demonstration; the server starts all the same.
        except CommandError as refused:
            self.stdout.write(str(refused))
