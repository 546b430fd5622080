"""The pack list counts what goes on a truck, and says what each thing is."""

from __future__ import annotations

import csv
import io
from typing import Any
from uuid import uuid4

from django.urls import reverse

from core.models import Leg, Show
from rigs.changes.edits import Add
from rigs.lists.pack import as_rows, pack_of
from rigs.models import Device, ShowHire
from tests.support.pages import as_user
from tests.support.world import World, make_device


def add(world: World, kind: str, **fields: Any) -> str:
    part = str(uuid4())
    world.record(Add(part, kind, fields))
    return part


def test_nobody_is_packed(world: World) -> None:
    add(world, "unit", name="Voice of Oona", gear="voice")
    assert [line.what for line in pack_of(world.production).units] == ["Tarn"]


def test_a_radio_link_is_no_cable(world: World) -> None:
    receiver = add(world, "unit", name="Receiver", gear="wireless")
    add(world, "link", source=str(world.unit.pk), target=receiver, carries="radio")
    add(world, "link", source=receiver, target=str(world.unit.pk), carries="line", length_m="3")
    (cable,) = pack_of(world.production).cables
    assert cable.what == "line level, 3 m (9.8 ft)"


def test_a_make_is_said_with_what_it_is(world: World) -> None:
    add(world, "unit", name="Fuzz", gear="pedal", maker="Orrin", model="Nine")
    add(world, "unit", name="Spare pedal", gear="pedal")
    box = make_device(world.production, "Plank", form="di", principle="di_active", pattern="")
    add(world, "input", number=9, name="Bass DI", device=str(box.pk))
    rows = [row[1] for row in as_rows(pack_of(world.production))]
    for said in (
        "Tarn, valve amplifier head",
        "Orrin Nine, pedal",
        "Corvane Hollow 2, moving coil",
        f"{box}, DI, active",
    ):
        assert said in rows
    # A name that says it already says it once.
    assert "Spare pedal" in rows


def test_how_many_of_a_microphone_are_owned_is_said_where_it_is_stated(world: World) -> None:
    (line,) = pack_of(world.production).devices
    kind = world.mic.get_principle_display()
    assert line.in_full == f"{world.mic}, {kind}"
    for number in (0, 3):
        Device.objects.filter(pk=world.mic.pk).update(owned=number)
        (line,) = pack_of(world.production).devices
        assert (line.what, line.count) == (str(world.mic), 1)
        assert line.in_full == f"{world.mic}, {kind}, {number} owned"
    page = as_user(world.tech).get(reverse("rigs:pack_list", args=[world.production.pk]))
    assert f"{world.mic}, {kind}, 3 owned" in page.content.decode()


def test_page_and_the_list_of_a_show_say_it_too_and_hires_keep_their_line(world: World) -> None:
    """A hire is found by what the list called the thing before it said what it is."""
    leg = Leg.objects.create(
        production=world.production, name="Autumn", starts_on="2026-09-01", ends_on="2026-09-30"
    )
    show = Show.objects.create(leg=leg, held_on="2026-09-18", room="Room 18")
    ShowHire.objects.create(show=show, section="units", what="Tarn", from_whom="the house")
    tech = as_user(world.tech)
    page = tech.get(reverse("rigs:pack_list", args=[world.production.pk])).content.decode()
    day = tech.get(reverse("rigs:show_pack", args=[world.production.pk, show.pk])).content.decode()
    for html in (page, day):
        assert "valve amplifier head" in html
    file = reverse("rigs:show_pack_file", args=[world.production.pk, show.pk, "csv"])
    rows = list(csv.reader(io.StringIO(tech.get(file).content.decode("utf-8-sig"))))
    (head,) = [row for row in rows if row[1] == "Tarn, valve amplifier head"]
    assert head[2:5] == ["1", "1", "0"]
