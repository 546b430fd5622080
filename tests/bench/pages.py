"""The pages a person of a production opens, of the demonstration: queries, milliseconds of the
processor, kilobytes packed.

[DATABASE_URL=postgres://…] python -m tests.bench.pages

The median of 15, and the least, which other work of the machine disturbs least. The time is that of
this process: PostgreSQL works in its own.
"""

from __future__ import annotations

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

from core.models import Production, Show, User
from notes.demo import cast
from rigs.models import Device, Input, Rig, Unit
from tests.bench.database import own_test_database
from tests.bench.festival_day import measure

OF_PRODUCTION = {
    "overview": "core:production",
    "rigs": "rigs:index",
    "microphones and DIs, 200": "rigs:devices",
    "notes": "notes:index",
    "changes": "notes:changes",
    "handovers": "notes:handovers",
    "trials": "notes:trials",
    "clips": "notes:clips",
    "timeline": "notes:timeline",
    "songs": "core:songs",
    "upkeep": "rigs:upkeep",
    "tour": "core:tour",
    "people": "core:people",
}


def pages(place: Production) -> dict[str, str]:
    rig = Rig.objects.get(production=place, name="Bass main")
    entry = Input.objects.filter(rig=rig).order_by("number")[0]
    unit = Unit.objects.filter(rig=rig).order_by("position")[0]
    parts = {
        "rig": rig.get_absolute_url(),
        "input": reverse("rigs:input", args=[place.pk, rig.pk, entry.pk]),
        "unit": reverse("rigs:unit", args=[place.pk, rig.pk, unit.pk]),
    }
    parts |= {
        f"{name} of the rig": reverse(f"rigs:rig_{name}", args=[place.pk, rig.pk])
        for name in ("findings", "why", "open")
    }
    show = Show.objects.filter(leg__production=place).order_by("held_on", "pk")[0]
    parts["leg"] = show.leg.get_absolute_url()
    parts["line check"] = reverse("notes:line_check", args=[place.pk, show.pk])
    return parts | {name: reverse(view, args=[place.pk]) for name, view in OF_PRODUCTION.items()}


def main() -> None:
    call_command("demo", stdout=open(os.devnull, "w"))  # noqa: SIM115
    place = Production.objects.get(name=cast.PRODUCTION)
    there = Device.objects.filter(production=place).count()
    for number in range(200 - there):
        Device.objects.create(production=place, name=f"Hollow {number}", form=Device.Form.MIC)
    client = Client(headers={"host": "localhost"})
    client.force_login(User.objects.get(email=cast.ENGINEER))
    print(f"{connection.vendor}, load {os.getloadavg()[0]:.1f}")
    print("| page | queries | processor ms (least) | kB |")
    print("|---|--:|--:|--:|")
    for name, told in measure({name: (client, url) for name, url in pages(place).items()}).items():
        print(f"| {name} | {told} |")


if __name__ == "__main__":
    with own_test_database():
        main()
