"""The pages of the input list, the pack list and what is printed."""

from __future__ import annotations

import io
import re
from typing import Any
from urllib.parse import unquote

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from core.models import Player
from rigs.changes.edits import Add, Retire, Set
from rigs.lists.columns import BY_KEY
from rigs.lists.groups import GROUPS
from rigs.lists.input_list import inputs_of
from rigs.lists.paper import paper_rows
from rigs.lists.sheets import read
from rigs.models import Input, ListImport, Revision
from tests.support.world import HIRE, World, input_fields, make_rig


def at(world: World, name: str, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, *more])


@pytest.fixture
def tech(world: World, client: Client) -> Client:
    client.force_login(world.tech)
    return client


def bring(client: Client, world: World, text: str) -> Any:
    file = SimpleUploadedFile("rider.csv", text.encode())
    return client.post(at(world, "list_import_new"), {"file": file})


def test_the_list_shows_each_input_and_what_is_odd(world: World, tech: Client) -> None:
    page = tech.get(at(world, "input_list")).content.decode()
    assert "Bass mic" in page
    assert "Corvane Hollow 2" in page
    assert "Not used: 1, 2, 3, 4, 5, 6" in page


def test_it_costs_the_same_for_many(
    world: World, tech: Client, django_assert_max_num_queries: Any
) -> None:
    url = at(world, "input_list")
    for number in range(10):
        player = Player.objects.create(
            production=world.production, name=f"P{number}", instrument="bass"
        )
        parts = (Add(f"00000000-0000-4000-8000-0000000000{number:02d}", "unit", {"name": "U"}),)
        make_rig(world.production, player, world.tech, f"R{number}", parts)
    with django_assert_max_num_queries(10):
        assert tech.get(url).status_code == 200


def test_numbers_are_typed_and_saved(world: World, tech: Client) -> None:
    tech.post(at(world, "input_numbers"), {f"number_{world.input.pk}": "12"})
    assert Input.objects.get().number == 12
    assert Revision.objects.latest("pk").number == 2


def test_numbering_in_order_starts_at_one(world: World, tech: Client) -> None:
    tech.post(at(world, "input_numbers"), {"in_order": "1"})
    assert Input.objects.get().number == 1


def test_a_number_that_is_none_is_refused_where_it_was_typed(world: World, tech: Client) -> None:
    response = tech.post(at(world, "input_numbers"), {f"number_{world.input.pk}": "x"})
    assert response.status_code == 200
    assert "Enter a whole number." in response.content.decode()
    assert Input.objects.get().number == 7


@pytest.mark.parametrize("name", ["input_list_file", "pack_list_file"])
@pytest.mark.parametrize(
    ("ending", "start"), [("csv", b"\xef\xbb\xbf"), ("xlsx", b"PK"), ("pdf", b"%PDF")]
)
def test_lists_are_taken_away(
    world: World, tech: Client, name: str, ending: str, start: bytes
) -> None:
    response = tech.get(at(world, name, ending))
    assert response.content.startswith(start)
    assert f".{ending}" in response.headers["Content-Disposition"]


def test_a_file_keeps_a_name_without_latin_letters(world: World, tech: Client) -> None:
    world.production.name = "音の旅"
    world.production.save()
    response = tech.get(at(world, "input_list_file", "csv"))
    named = unquote(response.headers["Content-Disposition"])
    assert named.startswith("attachment; filename*=utf-8''音の旅-input-list-")


def test_another_ending_is_not_there(world: World, tech: Client) -> None:
    assert tech.get(at(world, "input_list_file", "exe")).status_code == 404


def test_a_list_is_brought_looked_at_and_taken_over(world: World, tech: Client) -> None:
    response = bring(tech, world, "Ch,Name,Player,Mic\n9,Bass mic,Ines Halloran,Eskvane 4\n")
    preview = tech.get(response.headers["Location"])
    text = preview.content.decode()
    assert "Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4" in text
    assert Revision.objects.count() == 1
    why = {"confirm": "1", "reason_kind": "hire", "reason_words": "Rider of the hire firm"}
    refused = tech.post(response.headers["Location"], why).content.decode()
    assert "Look at its rows again" in refused
    assert "Rider of the hire firm" in refused
    (seen,) = re.findall('name="seen" value="([0-9a-f]{64})"', refused)
    why["seen"] = seen
    tech.post(response.headers["Location"], why)
    assert Input.objects.get().device == world.other_mic
    assert ListImport.objects.get().applied_at is not None


def test_taking_over_needs_words(world: World, tech: Client) -> None:
    response = bring(tech, world, "Ch,Name,Player\n9,Bass mic,Ines Halloran\n")
    answer = tech.post(response.headers["Location"], {"confirm": "1", "reason_kind": "hire"})
    assert "This field is required." in answer.content.decode()
    assert Input.objects.get().number == 7


def test_columns_are_named_by_hand(world: World, tech: Client) -> None:
    response = bring(tech, world, "Ch,Name,Player,Wobble\n7,Bass mic,Ines Halloran,31\n")
    named = {"remap": "1", "column_0": "number", "column_1": "name", "column_2": "player"}
    tech.post(response.headers["Location"], {**named, "column_3": "gain_db"})
    assert "Gain, dB: nothing → 31" in tech.get(response.headers["Location"]).content.decode()


def test_two_columns_cannot_be_the_same(world: World, tech: Client) -> None:
    response = bring(tech, world, "Ch,Name,Player\n7,Bass mic,Ines Halloran\n")
    answer = tech.post(
        response.headers["Location"], {"remap": "1", "column_0": "name", "column_1": "name"}
    )
    assert "Two columns cannot both be “Name”." in answer.content.decode()


def test_what_is_no_list_is_refused_at_the_file(world: World, tech: Client) -> None:
    answer = bring(tech, world, "just\nwords\n")
    assert answer.status_code == 200
    assert "No row of the list names its columns." in answer.content.decode()


def test_the_pack_list_counts_and_cautions(world: World, tech: Client) -> None:
    figure = {"unit": str(world.unit.pk), "key": "mains_power", "value": "240"}
    world.record(Add("00000000-0000-4000-8000-0000000000aa", "fact", figure))
    page = tech.get(at(world, "pack_list")).content.decode()
    assert "Corvane Hollow 2" in page
    assert "240 W" in page
    assert "licensed electrician" in page


def test_an_empty_pack_list_offers_no_file(world: World, tech: Client) -> None:
    world.record(Retire(str(world.rig.pk), "rig"))
    page = tech.get(at(world, "pack_list")).content.decode()
    assert "Nothing to pack yet" in page
    assert "pack.csv" not in page


def test_a_recall_sheet_of_now_and_of_then(world: World, tech: Client) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"notes": "Later."}))
    url = at(world, "recall", world.rig.pk)
    for query in ("", "?at=1", "?paper=us-letter"):
        response = tech.get(url + query)
        assert response.headers["Content-Type"] == "application/pdf"
    assert tech.get(f"{url}?at=9").status_code == 404


def test_labels_for_all_and_for_one_rig(world: World, tech: Client) -> None:
    assert tech.get(at(world, "labels")).content.startswith(b"%PDF")
    assert tech.get(f"{at(world, 'labels')}?rig={world.rig.pk}").content.startswith(b"%PDF")
    assert tech.get(f"{at(world, 'labels')}?rig=x").status_code == 404


def test_an_input_called_like_a_formula_leaves_as_text(world: World, tech: Client) -> None:
    fields = {**input_fields(world.unit.pk, world.mic.pk), "name": "=1+1", "number": 8}
    world.record(Add("00000000-0000-4000-8000-0000000000ab", "input", fields))
    data = tech.get(at(world, "input_list_file", "csv")).content
    assert b"'=1+1" in data
    assert any("=1+1" in row for row in read("x.csv", io.BytesIO(data).getvalue()))


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        ("0.86", "86 cm above it"),
        ("-0.05", "5 cm below it"),
        ("0", "35 mm from grille, 20° off"),
        (None, "35 mm from grille, 20° off"),
    ],
)
def test_the_list_on_paper_says_which_way_a_microphone_lies(
    world: World, metres: str | None, said: str
) -> None:
    """A height is that above the point it is measured from; a negative one lies below it."""
    fields = {"height_m": metres, "height_unit": "cm"}
    world.record(Set(str(world.input.pk), "input", fields), reason=HIRE)
    where = paper_rows(inputs_of(world.production))[1][-2]
    assert said in where
    assert "-" not in where


def test_what_a_list_on_paper_says_follows_the_rows_of_fields(world: World) -> None:
    """Every column of the list is there, alone, with its neighbours or in a sentence."""
    fields = {"delay_ms": "2.5", "reversed_polarity": True, "pad_db": "-20", "stand": "short boom"}
    world.record(Set(str(world.input.pk), "input", {**fields, "stage_position": "Box A, 3"}))
    head, row = paper_rows(inputs_of(world.production))
    said = dict(zip(head, row, strict=True))
    assert said["Ch"] == "7"
    assert (said["Delay"], said["Polarity"]) == ("2.5 ms", "reversed")
    assert said["Stand, box"] == "short boom, Box A, 3"
    assert said["Pad, gain"].startswith("−20 dB")
    assert said["Filters"] == "HPF 30 Hz"
    assert {column.key for group in GROUPS for column in group.columns} == set(BY_KEY)


def test_the_page_leaves_out_columns_that_are_empty(world: World, tech: Client) -> None:
    assert "Delay" not in tech.get(at(world, "input_list")).content.decode()
    world.record(Set(str(world.input.pk), "input", {"delay_ms": "2.5"}))
    page = tech.get(at(world, "input_list")).content.decode()
    assert '<th scope="col">Delay</th>' in page
    assert "2.5 ms" in page
