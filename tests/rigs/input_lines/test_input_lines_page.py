"""Several inputs at once, written one a line and looked at before they are saved."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Add
from rigs.editing.ordering import in_order
from rigs.input_lines.lines import Named, read_line
from rigs.models import Input, Revision
from rigs.revisions.sources import chosen_add, heard_of
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page, at
from tests.support.world import World, make_device

UNITS = [Named("k", ("Kick",)), Named("s", ("Snare",)), Named("r", ("Rack tom",))]
FLAT = Named("f", ("Orlo Flat", "Flat"), needs_phantom=True)
DEVICES = [FLAT, Named("d57", ("Tarn D57", "D57")), Named("d4", ("Tarn D4", "D4"))]


def read(line: str) -> tuple[object, ...]:
    draft = read_line(line, UNITS, DEVICES)
    device, unit = draft.device and draft.device.id, draft.unit and draft.unit.id
    return draft.number, draft.name, device, unit, draft.fields


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Talkback", (None, "Talkback", None, None, {})),
        ("1 Kick in, flat", (1, "Kick in", "f", "k", {"phantom": True})),
        ("1. Kick in, Flat, phantom no", (1, "Kick in", "f", "k", {"phantom": False})),
        ("12,Rack tom,tarn d4", (12, "Rack tom", "d4", "r", {})),
        ("3\tSnare top\tD57", (3, "Snare top", "d57", "s", {})),
        ("Top, d57, Snare, edge", (None, "Top", "d57", "s", {"aimed_at": "edge"})),
        ("Snare, , 48v", (None, "Snare", None, "s", {"phantom": True})),
        ("Snare, , 30°", (None, "Snare", None, "s", {"angle_deg": "30"})),
    ],
)
def test_a_line_is_read(line: str, said: tuple[object, ...]) -> None:
    assert read(line) == said


def test_a_device_of_a_list_is_found_by_a_word_of_its_name() -> None:
    """Lists give names with the maker in them; what begins so goes before what has such a word."""
    listed = [Named("h", ("Hallam D57",)), Named("d", ("D5 Wide",))]
    assert read_line("Snare, d57", UNITS, listed).device == listed[0]
    assert read_line("Snare, d5", UNITS, listed).device == listed[1]
    with pytest.raises(ValueError, match="No microphone or DI called “57”"):
        read_line("Snare, 57", UNITS, listed)


def test_lengths_and_headings_are_read_as_in_the_input_list() -> None:
    fields = read("2 Snare, d57, 4cm from the rim, gain 34, hpf 90, pad 20, pan L50")[4]
    assert fields == {
        "distance_m": "0.04",
        "distance_unit": "cm",
        "reference_point": "rim",
        "gain_db": "34",
        "high_pass_hz": "90",
        "pad_db": "-20",
        "pan": -50,
    }


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("7", "begins with the input’s name"),
        ("Kick, tarn", "can be Tarn D57 or Tarn D4"),
        ("Kick, q9", "No microphone or DI called “q9”"),
        ("Kick, , 4 parsecs", "unknown unit"),
        ("Kick, , 4cm, 5cm", "says a second time"),
        ("Kick, , gain loud", "is not a gain in dB"),
    ],
)
def test_what_cannot_be_read_is_said(line: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        read(line)


KIT = Named("kit", ("the kit",), kind="group")


@pytest.mark.parametrize(
    ("line", "unit", "also"),
    [
        ("Overhead, flat, the kit", None, ["kit"]),
        ("Overhead, flat, The Kit; rack tom; Snare", "r", ["kit", "s"]),
        ("Overhead, flat, Snare, 80 cm, the kit", "s", ["kit"]),
        ("Kick submix, , picks up Snare; Kick; snare", "s", ["k"]),
        ("Kick room, flat, the kit", None, ["kit"]),  # what is said goes before what is guessed
        ("Kick in, flat", "k", []),
    ],
)
def test_a_line_names_several_sources(line: str, unit: str | None, also: list[str]) -> None:
    draft = read_line(line, [*UNITS, KIT], DEVICES)
    assert ((draft.unit and draft.unit.id), [each.id for each in draft.also]) == (unit, also)


def test_a_source_that_is_not_there_is_said() -> None:
    for line in ("Over, , the kit; Piqno", "Over, , picks up Piqno"):
        with pytest.raises(ValueError, match="no other player, is called “Piqno”"):
            read_line(line, [*UNITS, KIT], DEVICES)
    assert read_line("Over, , low; wide", [*UNITS, KIT], DEVICES).fields == {
        "aimed_at": "low; wide"
    }


def test_several_sources_are_shown_and_saved(world: World, several: Page) -> None:
    kit = "00000000-0000-4000-8000-0000000000aa"
    tom = "00000000-0000-4000-8000-0000000000bb"
    world.record(Add(tom, "unit", {"name": "Tom"}), Add(kit, "group", {"name": "the kit"}))
    world.record(chosen_add("member", kit, ("unit", tom)))
    shown = several.send(lines="Over, , Head; the kit; Tom\nRoom, , the kit")
    assert shown.html.count('name="also-0"') == 2
    assert 'name="also-1"' in shown.html
    assert shown.send(also__0=[kit]).status == 302
    over, room = (Input.objects.get(name=name) for name in ("Over", "Room"))
    assert heard_of(over).words == "Head and the kit"
    assert (room.unit, heard_of(room).words) == (None, "the kit")


@given(st.text(max_size=80))
def test_no_text_breaks_it(line: str) -> None:
    try:
        draft = read_line(line, UNITS, DEVICES)
    except ValueError:
        return
    assert draft.name


@pytest.fixture
def several(world: World) -> Page:
    make_device(world.production, "Flat 91", principle="condenser", phantom=True)
    return Page(as_user(world.tech), at(world, "inputs_several"))


LINES = "5 Head near, hollow, 3 cm\n6 Head far, flat, Head, 80 cm, gain 30\nTalkback"


def test_each_line_is_an_input_once_it_was_looked_at(world: World, several: Page) -> None:
    before = Revision.objects.count()
    shown = several.send(lines=LINES)
    assert Revision.objects.count() == before  # nothing is saved before it was looked at
    assert "Gain, dB: 30; Distance: 80 cm" in " ".join(shown.html.split())
    sent = shown.send()
    assert sent.response.url.endswith("#inputs")
    assert Revision.objects.count() == before + 1
    near, far, talk = in_order(Input.objects.live().filter(rig=world.rig))[1:]
    assert (near.number, near.name, near.unit, near.device) == (
        5,
        "Head near",
        world.unit,
        world.mic,
    )
    assert (near.distance_m, near.distance_unit, near.phantom) == (Decimal("0.03"), "cm", False)
    assert (str(far.device), far.phantom, far.gain_db) == ("Corvane Flat 91", True, 30)
    assert (talk.number, talk.unit, talk.device) == (None, None, None)


def test_what_was_guessed_is_set_otherwise_in_place(world: World, several: Page) -> None:
    shown = several.send(lines=LINES)
    shown.send(unit__0="", device__1=str(world.other_mic.pk), phantom__1=[])
    assert Input.objects.get(name="Head near").unit is None
    far = Input.objects.get(name="Head far")
    assert (far.device, far.phantom) == (world.other_mic, False)


def test_back_to_the_lines_keeps_them(world: World, several: Page) -> None:
    back = several.send(lines=LINES).send(again="1")
    assert "6 Head far, flat, Head, 80 cm, gain 30" in back.html
    assert back.sent["lines"].splitlines() == LINES.splitlines()


def test_a_wrong_line_is_told_and_all_stays_typed(world: World, several: Page) -> None:
    html = several.send(lines=f"Fine, hollow\n{world.input.name}\nHigh, , hpf 900, lpf 300").html
    assert f"Line 2: “{world.input.name}” is there already." in html
    assert "Line 3: The LPF is below the HPF" in html
    assert "Fine, hollow" in html


def test_a_choice_that_does_not_exist_is_refused(world: World, several: Page) -> None:
    shown = several.send(lines=LINES)
    again = shown.send(device__0=str(world.rig.pk))
    assert again.status == 200
    assert not Input.objects.filter(name="Head near").exists()


def test_devices_and_units_are_offered_for_a_tap(world: World, several: Page) -> None:
    for name in ("Flat 91", "Head"):
        assert f'data-word="{name}"' in several.html


def test_its_queries_do_not_grow(world: World, several: Page) -> None:
    url, client = at(world, "inputs_several"), as_user(world.tech)
    before = queries_of(client, url)
    for n in range(5):
        make_device(world.production, f"Another {n}")
        world.record(Add(f"00000000-0000-4000-8000-00000000000{n}", "unit", {"name": f"U {n}"}))
    assert queries_of(client, url) == before


def test_crew_may_not(world: World) -> None:
    assert as_user(world.people["crew"]).get(at(world, "inputs_several")).status_code == 403
