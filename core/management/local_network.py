"""Serving to the phones in the room, over plain HTTP: addresses, settings, and what to say."""

from __future__ import annotations

import os
import socket
from ipaddress import ip_address

from django.conf import settings
from django.core.management.base import CommandError, OutputWrapper

from core.management.greeting import show_address

# RFC 5737, section 3: nobody has this address. Asking for the way there sends nothing.
ELSEWHERE = ("192.0.2.1", 9)
# What browsers leave out where a page did not come by HTTPS (W3C, Secure Contexts, and the
# specifications of each: Service Workers, Clipboard, Web Share, Media Capture).
WITHOUT_HTTPS = """
This is without HTTPS: anybody in the same network can read what is sent, passwords too. Use a
network that you trust. On other devices these do not work without HTTPS:
  - reading and writing without a network, and installing it as an app
  - the share button of links (copying them works, and the QR codes)
  - the camera and the microphone inside a page (choosing a photo or a sound file works)
For all of it, put HTTPS in front: docs/deployment.md.
"""


def address_here() -> str:
    """This machine's address in its network. Raises CommandError where none is found."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(ELSEWHERE)
            found: str = way.getsockname()[0]
        except OSError:
            found = "127.0.0.1"
    if ip_address(found).is_loopback:
        raise CommandError(
            "This machine is in no network that could be found. Say which of its addresses the "
            "phones reach: --lan 192.168.1.20"
        )
    return found


def checked(address: str) -> str:
    """An address or a name that phones can open. Raises CommandError."""
    if not settings.LOCAL:
        raise CommandError(
            "--lan serves without HTTPS, and production mode insists on it. "
            "Leave TONELEDGER_MODE out, or set it to local."
        )
    if not address or set(address) & set("/:,* "):
        raise CommandError(
            f"--lan takes an address of this machine alone, such as 192.168.1.20, not {address!r}."
        )
    return address


def allow(address: str, port: int) -> None:
    """Let the server, which reads the environment, answer to that address and to this machine's
    names, and trust forms that come from there."""
    name = socket.gethostname()
    hosts = [*settings.ALLOWED_HOSTS, address, name, f"{name}.local"]
    origins = [*settings.CSRF_TRUSTED_ORIGINS, f"http://{address}:{port}"]
    os.environ["TONELEDGER_HOSTS"] = ",".join(dict.fromkeys(hosts))
    os.environ["TONELEDGER_ORIGINS"] = ",".join(dict.fromkeys(origins))


def print_address(out: OutputWrapper, address: str, port: int) -> None:
    out.write("\nPhones in the same network open this address:")
    show_address(out, f"http://{address}:{port}/")
    out.write(WITHOUT_HTTPS)
