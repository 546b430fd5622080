"""The pack list counts what goes on a truck, and says what each thing is."""

from __future__ import annotations

import csv
import io
from typing import Any
from uuid import uuid4

from django.urls import reverse

from core.models import Leg, Show
from rigs.changes.edits import Add, Set
from rigs.lists.pack import as_rows, pack_of
from rigs.models import Device, Input, PatchBox, PatchLine, PatchRun, ShowHire
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
    (cable, _lead) = pack_of(world.production).cables
    assert cable.what == "line level, 3 m (9.8 ft)"


def test_a_make_is_said_with_what_it_is(world: World) -> None:
    add(world, "unit", name="Fuzz", gear="pedal", maker="Orrin", model="Nine")
    add(world, "unit", name="Spare pedal", gear="pedal")
    box = make_device(world.production, "Plank", form="di", principle="di_active", pattern="")
    add(world, "input", number=9, name="Bass DI", device=str(box.pk))
    rows = [row[1] for row in as_rows(pack_of(world.production))]
    for said in (
        "Valve amplifier head: Tarn",
        "Pedal: Orrin Nine",
        "Moving coil, cardioid: Corvane Hollow 2",
        f"DI, active: {box}",
    ):
        assert said in rows
    # A name that says it already says it once.
    assert "Spare pedal" in rows


def test_how_many_of_a_microphone_are_owned_is_said_where_it_is_stated(world: World) -> None:
    (line,) = pack_of(world.production).devices
    kind = "Moving coil, cardioid"
    assert line.in_full == f"{kind}: {world.mic}"
    for number in (0, 3):
        Device.objects.filter(pk=world.mic.pk).update(owned=number)
        (line,) = pack_of(world.production).devices
        assert (line.what, line.count) == (str(world.mic), 1)
        assert line.in_full == f"{kind}: {world.mic}, {number} owned"
    page = as_user(world.tech).get(reverse("rigs:pack_list", args=[world.production.pk]))
    assert f"{kind}: {world.mic}, 3 owned" in page.content.decode()


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
        assert "Valve amplifier head: Tarn" in html
    file = reverse("rigs:show_pack_file", args=[world.production.pk, show.pk, "csv"])
    rows = list(csv.reader(io.StringIO(tech.get(file).content.decode("utf-8-sig"))))
    (head,) = [row for row in rows if row[1] == "Valve amplifier head: Tarn"]
    assert head[2:5] == ["1", "1", "0"]


def test_a_size_is_said_before_the_make_unless_the_name_has_it(world: World) -> None:
    for name, facts in (
        ("24 × 14 in", {"diameter": "0.6096", "shell_depth": "0.3556"}),
        ("Barrel", {"speaker_impedance": "8"}),
    ):
        unit = add(world, "unit", name=name, model=name, maker="Hathrane", gear="drum")
        for key, value in facts.items():
            add(world, "fact", unit=unit, key=key, value=value)
    lines = {line.what: line.in_full for line in pack_of(world.production).units}
    assert lines["Hathrane 24 × 14 in"] == "Drum: Hathrane 24 × 14 in"
    assert lines["Hathrane Barrel"] == "Drum, 8 Ω: Hathrane Barrel"


def test_leads_are_counted_from_the_inputs_and_looms_from_the_patch(world: World) -> None:
    """An input without a microphone or DI takes no lead (common practice, no source)."""
    for number in (20, 21, 22):
        device = {} if number == 22 else {"device": str(world.mic.pk)}
        add(world, "input", number=number, name=f"Line {number}", **device)
    (lead,) = pack_of(world.production).cables
    assert (lead.what, lead.count, lead.where) == ("Microphone lead, XLR", 3, "length not noted")
    box, snake, far = (
        PatchBox.objects.create(
            production=world.production, name=name, mark=name[0], kind=kind, ways=8, position=n
        )
        for n, (name, kind) in enumerate([("Box", "box"), ("Drum snake", "snake"), ("Far", "box")])
    )
    for source, target in ((snake, box), (far, box)):
        PatchRun.objects.create(source=source, target=target, count=4)
    for number, way in ((20, 1), (21, 2)):
        entry = Input.objects.get(number=number)
        PatchLine.objects.create(input=entry, box=snake, way=way)
    lines = pack_of(world.production).cables
    assert [(line.count, line.in_full, line.where) for line in lines] == [
        (
            3,
            "Microphone lead, XLR",
            "2 to Drum snake, 1 to a way that is not noted, length not noted",
        ),
        (1, "Stage box: Box, 8 ways", ""),
        (1, "Sub-snake: Drum snake, 8 ways", ""),
        (1, "Stage box: Far, 8 ways", ""),
        (1, "Loom or multipin for 4 ways", "Far to Box, length not noted"),
    ]


def test_serial_numbers_stand_with_their_line(world: World) -> None:
    world.record(Set(str(world.unit.pk), "unit", {"serial": "T-7"}))
    Device.objects.filter(pk=world.mic.pk).update(serials="H-1\nH-2")
    rows = {row[1]: row[-1] for row in as_rows(pack_of(world.production))}
    assert rows["Valve amplifier head: Tarn"] == "T-7"
    assert rows[f"Moving coil, cardioid: {world.mic}"] == "H-1, H-2"


def test_a_thing_of_no_kind_is_just_called_by_its_name(world: World) -> None:
    add(world, "unit", name="Tea table", gear="other")
    assert "Tea table" in [line.in_full for line in pack_of(world.production).units]
