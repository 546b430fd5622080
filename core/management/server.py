"""The application server, as `start` and `serve` run it."""

from __future__ import annotations

import os
import socket
import sys

from django.conf import settings
from django.core.management.base import CommandError

from core.operation import figures

EVERYWHERE = "0.0.0.0"  # noqa: S104 - only where it is asked for


def address(bind: str) -> tuple[str, int]:
    """“127.0.0.1:8000” as host and port. Raises CommandError."""
    host, _, port = bind.rpartition(":")
    if not host or not port.isdigit():
        raise CommandError(f"--bind takes address:port, such as 127.0.0.1:8000, not {bind!r}.")
    return host, int(port)


def probe(host: str, port: int) -> None:
    """Raise CommandError where nothing can be served there."""
    with socket.socket() as tried:
        # As the server sets it: a port just left in TIME_WAIT is free to it, and must seem so here.
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, port))
        except OSError as error:
            raise CommandError(
                f"Cannot serve at {host}:{port} ({error.strerror}). "
                f"Pick another port: --bind {host}:{port + 1}"
            ) from None


def become(host: str, port: int, *, workers: int, grace_s: int) -> None:
    """Turn this process into the server, so that signals reach it. Does not return."""
    os.environ.setdefault("TONELEDGER_MODE", "local" if settings.LOCAL else "production")
    if settings.METRICS_TOKEN:
        figures.empty(settings.METRICS_DIR)
    command = [
        *(sys.executable, "-m", "uvicorn", "core.asgi:application"),
        *("--host", host, "--port", str(port), "--workers", str(workers)),
        *("--log-level", "warning", "--app-dir", str(settings.BASE_DIR)),
        *("--no-proxy-headers", "--lifespan", "on"),
        *("--timeout-graceful-shutdown", str(grace_s)),
    ]
    os.execv(sys.executable, command)  # noqa: S606 - becomes the server
