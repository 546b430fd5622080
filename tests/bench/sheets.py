"""How long every printed sheet of the demonstration takes when warm, from its address to the PDF:
reading the data, too.

python -m tests.bench.sheets

Each time the production has another name, which stands on most sheets, or what the compiler keeps
of the last one would be measured. A sheet is of one page where this says so.
"""

from __future__ import annotations

import os
import re
import statistics
import time
from collections.abc import Iterator

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.test import Client
from pypdfium2 import PdfDocument

from core.models import Production, Show, User
from notes.demo import cast
from rigs.models import Rig
from tests.bench.database import own_test_database
from tests.support.addresses import ROUTES, address

TIMES = 7


def sheets() -> Iterator[tuple[str, str]]:
    """What each is called here, and where it is; of each kind the demonstration's first."""
    show = Show.objects.live().order_by("held_on", "pk").first()
    assert show is not None
    production = show.leg.production_id
    for name in ("Bass main", "Drum"):
        rig = Rig.objects.filter(name__startswith=name).first()
        known = {
            "production": str(production),
            "show_id": str(show.pk),
            "leg_id": str(show.leg_id),
            "rig_id": str(rig.pk) if rig else "",
            "format": "pdf",
        }
        for route in ROUTES:
            named = set(re.findall(r"<(?:\w+:)?(\w+)>", route))
            is_again = name != "Bass main" and "rig_id" not in named
            if named <= set(known) and ".pdf" in address(route, known) and not is_again:
                plain = re.sub(r"p/<[^>]+>/|<(?:\w+:)?\w+>/", "", route).replace(
                    "<str:format>", "pdf"
                )
                yield f"{plain}{f', {name}' if 'rig_id' in named else ''}", address(route, known)


def main() -> None:
    call_command("demo", verbosity=0, stdout=open(os.devnull, "w"))  # noqa: SIM115
    client = Client(raise_request_exception=False, SERVER_NAME="127.0.0.1")
    client.force_login(User.objects.get(email=cast.ENGINEER))
    print("| sheet | pages | ms of the processor: median | least |\n|---|--:|--:|--:|")
    for name, url in sheets():
        taken, body = [], b""
        for nth in range(TIMES + 1):
            Production.objects.update(name=f"Tour {nth}")
            begun = time.process_time()
            response = client.get(url)
            body = b"".join(response)  # type: ignore[arg-type]
            taken.append((time.process_time() - begun) * 1000)
        if response.status_code == 200 and body.startswith(b"%PDF"):
            pages = len(PdfDocument(body))
            print(f"| {name} | {pages} | {statistics.median(taken[1:]):.0f} | {min(taken):.0f} |")


if __name__ == "__main__":
    with own_test_database():
        main()
