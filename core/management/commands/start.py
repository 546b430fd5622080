"""manage.py start: set up everything that is missing, load the demonstration, and serve."""

from __future__ import annotations

import os
import socket
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = (
        "Prepare the database and static files, load the demonstration once, and serve with a real "
        "application server. Safe to run again: nothing is lost."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--bind", default="127.0.0.1:8000", help="address:port to serve at")
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument("--empty", action="store_true", help="start without the demonstration")
        parser.add_argument("--no-serve", action="store_true", help="prepare only")

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = self._address(options["bind"])
        call_command("migrate", verbosity=0, interactive=False)
        call_command("collectstatic", verbosity=0, interactive=False)
        if not options["empty"]:
            call_command("demo", stdout=self.stdout)
        if options["no_serve"]:
            return
        self._serve(host, port, options["workers"])

    def _address(self, bind: str) -> tuple[str, int]:
        host, _, port = bind.rpartition(":")
        if not host or not port.isdigit():
            raise CommandError(f"--bind takes address:port, such as 127.0.0.1:8000, not {bind!r}.")
        return host, int(port)

    def _serve(self, host: str, port: int, workers: int) -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError as error:
                raise CommandError(
                    f"Cannot serve at {host}:{port} ({error.strerror}). "
                    f"Pick another port: --bind {host}:{port + 1}"
                ) from None
        self.stdout.write(self.style.SUCCESS(f"\nToneledger is at http://{host}:{port}/"))
        self.stdout.write("Stop it with Ctrl-C.\n")
        self.stdout.flush()
        os.environ.setdefault("TONELEDGER_MODE", "local" if settings.LOCAL else "production")
        command = [
            sys.executable,
            "-m",
            "uvicorn",
            "core.asgi:application",
            "--host",
            host,
            "--port",
            str(port),
            "--workers",
            str(workers),
            "--log-level",
            "warning",
            "--app-dir",
            str(settings.BASE_DIR),
            "--no-proxy-headers",
            "--lifespan",
            "off",
            "--timeout-graceful-shutdown",
            "2",
        ]
        os.execv(sys.executable, command)  # noqa: S606 - becomes the server, Ctrl-C reaches it
