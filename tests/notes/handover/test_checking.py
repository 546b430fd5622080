"""`manage.py verify` finds what was tampered with, and names the first."""

from __future__ import annotations

import hashlib
import json
from html import escape
from typing import Any

import pytest
import rfc8785
from django.core.management import CommandError, call_command
from django.db import connection
from pypdfium2 import PdfDocument

from core.append_only import trigger_names
from core.models import Show
from notes.handover.content import outline_of
from notes.handover.print import handover_pdf
from notes.handover.verify import broken_handovers
from notes.models import Alternative, PublishedHandover
from rigs.changes.edits import Set
from rigs.paper.pdf import Paper
from tests.notes.handover.published_support import frozen, page, published, words
from tests.notes.handover.support import legs
from tests.support.everything import fill
from tests.support.world import World


def tamper(made: PublishedHandover, **values: Any) -> None:
    """Past the triggers, as somebody with the database's own tools would."""
    table = PublishedHandover._meta.db_table
    with connection.cursor() as cursor:
        for name in trigger_names(table):
            on = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")
        for field, value in values.items():
            pk = PublishedHandover._meta.pk.get_db_prep_value(made.pk, connection)
            cursor.execute(f"UPDATE {table} SET {field} = %s WHERE id = %s", [value, pk])


@pytest.fixture
def two(world: World) -> tuple[PublishedHandover, PublishedHandover]:
    autumn, winter = legs(world)
    words(autumn)
    return published(world, autumn), published(world, winter)


Two = tuple[PublishedHandover, PublishedHandover]


def test_what_was_published_holds(two: Two) -> None:
    assert list(broken_handovers()) == []
    call_command("verify")


def as_of_schema(number: int, made: PublishedHandover) -> None:
    """As it was published before monitor mixes (5), before that figures and changes were fixed as
    quantities (4), before that (3) lengths, before that (2) places of units, or before that (1)
    pins, kit plans, songs and records.
    """
    content = json.loads(made.content) | {"schema": number}
    rigs = [rig for section in content["sections"] for rig in section["rigs"]]
    for part in (content["general"], *content["sections"]):
        part.pop("mixes", None)
    if number < 5:
        _without_figures(rigs)
    if number < 4:
        _without_quantities(content, rigs)
    if number < 3:
        for unit in (unit for rig in rigs for unit in rig["units"]):
            unit.pop("stage", None)
            unit.pop("case", None)
    if number == 1:
        _without_pins_and_songs(content, rigs)
    text = rfc8785.dumps(content)
    outline = rfc8785.dumps(outline_of(content)).decode()
    tamper(made, content=text.decode(), digest=hashlib.sha256(text).hexdigest(), outline=outline)
    made.refresh_from_db()


def _without_figures(rigs: list[dict[str, Any]]) -> None:
    """Texts as the program of that time wrote them."""
    line = {"label": "Distance", "old": "3 cm (1.2 in)", "new": "35 mm (1.4 in)", "what": "changed"}
    line["text"] = "Distance: 3 cm (1.2 in) → 35 mm (1.4 in)"
    for rig in rigs:
        rig["changes"]["told"] = [
            {"name": "7 Bass mic", "kind": "input", "size": [1, 0], "lines": [line], "why": []}
        ]
        for unit in rig["units"]:
            unit["facts"] = [{"label": "speaker impedance", "text": "8 Ω"}]
        for each in rig["inputs"]:
            each["specs"] = [spec for spec in each["specs"] if "quantity" not in spec]
            each["specs"].append({"label": "Preamp gain", "text": "31 dB"})
            if each["device"]:
                each["device"]["figures"] = [{"label": "maximum SPL", "text": "135 dB"}]


def _without_quantities(content: dict[str, Any], rigs: list[dict[str, Any]]) -> None:
    """Texts as the program of that time wrote them."""
    for show in content["leg"]["shows"]:
        del show["mix_distance"]
        show["mix"] = "22 m (72.2 ft)"
    for rig in rigs:
        for each in rig["inputs"]:
            del each["placement"]
            each["where"] = OLD_WHERE
            each["specs"] = [{"label": "Distance", "text": "35 mm (1.4 in)"}]
        for link in rig["links"]:
            del link["cable"], link["connectors"], link["length"]
            link["name"] = "Speaker cable, 3 m (9.8 ft)"
        for each in rig["rejected"]:
            del each["placement"]
            each["place"] = "cone edge, 12 cm (4.7 in), 15° off axis"


OLD_WHERE = "cone edge (the lower one), 35 mm (1.4 in) from grille, 20° off axis"


def _without_pins_and_songs(content: dict[str, Any], rigs: list[dict[str, Any]]) -> None:
    for part in (content["general"], *content["sections"]):
        del part["record"]
    for rig in rigs:
        del rig["kit"], rig["songs"]
        for photo in rig["photos"]:
            del photo["pins"]


PLACES = {"stage_position": "Bass riser", "packed_in": "Case 3"}


def placed(world: World) -> None:
    world.record(Set(str(world.unit.pk), "unit", PLACES))


def test_one_from_before_monitor_mixes_verifies_and_is_read(world: World) -> None:
    fill(world)
    made = published(world, legs(world)[0])
    assert '"mixes":' in made.content
    as_of_schema(5, made)
    assert '"mixes":' not in made.content
    assert list(broken_handovers()) == []
    assert "Bass main" in page(world, made, query="?long")


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_one_of_an_older_schema_verifies_and_is_read_and_printed(world: World, number: int) -> None:
    fill(world)
    placed(world)
    Alternative.objects.update(verdict="rejected", distance_m="0.12", distance_unit="cm")
    leg = legs(world)[0]
    Show.objects.create(
        leg=leg, held_on=leg.starts_on, room="Hall", mix_distance_m=22, mix_distance_unit="m"
    )
    made = published(world, leg)
    assert json.loads(made.content)["schema"] == 7
    as_of_schema(number, made)
    assert list(broken_handovers()) == []
    full = page(world, made, query="?long")
    # From the revision it names.
    for said in ('class="pin-layer"', "Place on stage: Bass riser", "Travels in: Case 3"):
        assert said in full, said
    words = [OLD_WHERE, "Speaker cable, 3 m (9.8 ft)"] if number < 4 else ["31 dB"]
    figures = ["speaker impedance: 8 Ω", "maximum SPL: 135 dB", "3 cm (1.2 in)"]
    for said in (*words, *figures, "22 m (72.2 ft)", "12 cm (4.7 in)"):
        assert said in full, said
    brief = page(world, made)
    assert "Bass main" in brief
    assert ("cone edge (the lower one)" if number < 4 else "cone edge") in brief
    pdf = handover_pdf(made, address="http://127.0.0.1/", paper=Paper.A4)
    on_paper = " ".join(each.get_textpage().get_text_range() for each in PdfDocument(pdf))
    for said in ("12 cm (4.7 in)", "Distance: 3 cm (1.2 in) → 35 mm (1.4 in)"):
        assert said in " ".join(on_paper.split())
    newer = published(world, leg)  # the same state says more now
    assert json.loads(newer.content)["schema"] == 7
    assert list(broken_handovers()) == []
    tamper(made, content=made.content.replace(f'"schema":{number}', '"schema":9'))
    assert "does not match" in next(broken_handovers())


def test_what_the_crew_needs_is_fixed_with_it(world: World) -> None:
    """Pins with their legend, songs, records: gone from the rig, they still stand in it."""
    fill(world)
    made = published(world, legs(world)[0])
    (rig,) = json.loads(made.content)["sections"][0]["rigs"]
    pin = next(pin for photo in rig["photos"] for pin in photo["pins"])
    assert 0 <= float(pin["x"]) <= 1
    assert rig["songs"][0]["lines"]
    shown = page(world, made, query="?long")
    for said in (pin["legend"], rig["songs"][0]["title"], rig["songs"][0]["lines"][0]["text"]):
        assert escape(said) in shown, said


def test_where_units_stand_and_travel_is_fixed_with_it(world: World) -> None:
    leg = legs(world)[0]
    bare = published(world, leg)
    (unit,) = json.loads(bare.content)["sections"][0]["rigs"][0]["units"]
    assert not {"stage", "case"} & set(unit)  # nothing noted, nothing new for its readers
    placed(world)
    made = published(world, leg)
    world.record(Set(str(world.unit.pk), "unit", {"stage_position": "Drum riser", "packed_in": ""}))
    (unit,) = json.loads(made.content)["sections"][0]["rigs"][0]["units"]
    assert (unit["stage"], unit["case"]) == ("Bass riser", "Case 3")
    for query in ("?long", "?for=tech"):  # there is room for it in ten minutes
        shown = "".join(frozen(page(world, made, query=query)))
        assert "Place on stage: Bass riser. Travels in: Case 3" in shown
    pdf = handover_pdf(made, address="http://127.0.0.1/", paper=Paper.A4)
    on_paper = " ".join(each.get_textpage().get_text_range() for each in PdfDocument(pdf))
    assert "Place on stage: Bass riser" in on_paper
    assert "Travels in: Case 3" in on_paper
    assert "Drum riser" not in on_paper
    shown = page(world, bare, query="?long")
    assert "Travels in" not in "".join(frozen(shown))


def test_a_changed_word_shows(two: Two) -> None:
    tamper(two[0], content=two[0].content.replace("Walk the room.", "Never mind it."))
    assert list(broken_handovers()) == [
        "The Long Quiet · Handover 1: is not what was published: its digest does not match its "
        "content."
    ]
    with pytest.raises(CommandError, match="trigger"):
        call_command("verify")


def test_a_changed_word_with_a_new_digest_shows_at_the_next(two: Two) -> None:
    content = json.loads(two[0].content) | {
        "general": {"opening": "", "cautions": [], "people": ""}
    }
    text = rfc8785.dumps(content)
    tamper(two[0], content=text.decode(), digest=hashlib.sha256(text).hexdigest())
    first, second = list(broken_handovers())
    assert "Handover 1: the list of its sections is not that of its content" in first
    assert "Handover 2: names another handover before it" in second


def test_another_number_or_author_shows(two: Two, world: World) -> None:
    tamper(two[1], number=5)
    (wrong,) = broken_handovers()
    assert "handover 2 is missing" in wrong


def test_a_history_that_was_written_anew_shows(two: Two) -> None:
    content = json.loads(two[1].content)
    content["sections"][0]["rigs"][0]["digest"] = "0" * 64
    text = rfc8785.dumps(content)
    outline = rfc8785.dumps(outline_of(content)).decode()
    tamper(two[1], content=text.decode(), digest=hashlib.sha256(text).hexdigest(), outline=outline)
    (wrong,) = broken_handovers()
    assert "“Bass main” was not at the change 1 on file" in wrong
