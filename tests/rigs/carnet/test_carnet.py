"""The carnet list: lines by case, sums for each currency, and what nobody has noted."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from core.models import Player
from core.models.roles import Role
from rigs.carnet.goods import NO_CASE, Goods, in_cases, sums_of
from rigs.carnet.load import carnet_of
from rigs.changes.edits import Add, Set
from rigs.lists.sheets import read
from rigs.models import CarnetGoods, CarnetGoodsChange, Device, Input, ShowRig, StoredPhoto
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World, make_rig


def add(world: World, kind: str, **fields: Any) -> str:
    part = str(uuid4())
    world.record(Add(part, kind, fields))
    return part


@pytest.fixture
def packed(world: World) -> World:
    """A head of 21 kg worth 1350 GBP and a cabinet of which nothing is known in Case 3; one
    microphone of 0.3 kg worth 145 EUR in Case 11; a pedal without a case."""
    head = str(world.unit.pk)
    customs = {"country_of_origin": "GB", "worth": "1350", "currency": "GBP", "serial": "T-7"}
    world.record(Set(head, "unit", {"packed_in": "Case 3", **customs}))
    sides = {"packed_length": "0.64", "packed_width": "0.33", "packed_height": "0.34"}
    for key, value in {"weight": "21", **sides}.items():
        add(world, "fact", unit=head, key=key, value=value)
    add(world, "unit", name="Cabinet", gear="cabinet", packed_in="Case 3", position=1)
    add(world, "unit", name="=1+1", gear="pedal", maker="Orrin", position=2)
    add(world, "unit", name="Voice of Oona", gear="voice")
    Device.objects.filter(pk=world.mic.pk).update(
        packed_in="Case 11",
        weight_kg="0.3",
        country_of_origin="DE",
        worth="145",
        currency="EUR",
        serials="H-1\nH-2",
    )
    return world


def test_lines_stand_by_case_with_the_sums_of_each(packed: World) -> None:
    carnet = carnet_of(packed.production)
    assert [case.name for case in carnet.cases] == ["Case 3", "Case 11", NO_CASE]
    assert [each.number for each in carnet.goods] == [1, 2, 3, 4]
    head, _, microphone, _ = carnet.goods
    assert (head.value, head.weight) == ("1350.00 GBP", "21 kg (46.3 lb)")
    assert head.origin.startswith("GB, ")
    # 640, 330 and 340 mm over 25.4 mm to the inch (exactly, NIST SP 811).
    assert head.size == "640 × 330 × 340 mm (25.2 × 13 × 13.4 in)"
    assert microphone.serials_in_words == "1 of H-1, H-2"
    assert [case.sums.in_words for case in carnet.cases] == [
        "2 pieces; 21 kg (46.3 lb), 1 line without a weight; 1350.00 GBP, 1 line without a value",
        "1 piece; 0.3 kg (0.7 lb); 145.00 EUR",
        "1 piece; 1 line without a weight; 1 line without a value",
    ]
    assert carnet.sums.worth == {"EUR": Decimal(145), "GBP": Decimal(1350)}
    assert "145.00 EUR and 1350.00 GBP" in carnet.sums.in_words


def test_what_is_missing_is_counted_and_named(packed: World) -> None:
    carnet = carnet_of(packed.production)
    assert "2 of 4 lines have no value: Cabinet, =1+1." in carnet.missing
    assert "2 of 4 lines have no serial number: Cabinet, =1+1." in carnet.missing
    assert "3 of 4 lines have no photo: Head, Cabinet, =1+1." in carnet.missing
    assert not any("Voice" in line for line in carnet.missing)
    (rest,) = carnet.not_listed
    assert "1 microphone lead" in rest


def test_what_is_always_hired_stays_at_home(packed: World) -> None:
    Device.objects.filter(pk=packed.mic.pk).update(owned=0, serials="")
    carnet = carnet_of(packed.production)
    assert all(each.name != packed.mic.name for each in carnet.goods)
    assert f"Left out, because they are always hired: {packed.mic}." in carnet.not_listed


def test_what_is_written_by_hand_counts_with_what_is_counted(packed: World) -> None:
    add(packed, "input", name="Overhead", stand="tall boom")
    tech = as_user(packed.tech)
    page = Page(tech, at(packed, "rigs:carnet_goods_new"))
    wrong = page.send(kind="other", what="Tool case", worth="90")
    assert "Which currency is the value in?" in wrong.html
    stand = {"kind": "stands", "what": "Stand, tall", "weight_kg": "3.5", "worth": "40"}
    assert page.send(**stand, currency="EUR").status == 302
    carnet = carnet_of(packed.production)
    (line,) = (each for each in carnet.goods if each.by_hand)
    stands = Input.objects.exclude(stand="").count()
    assert (line.pieces, line.kg, line.worth) == (stands, stands * Decimal("3.5"), stands * 40)
    assert "stand" not in carnet.not_listed[0]
    assert "Stand, tall" in Page(tech, at(packed, "rigs:carnet")).html
    (row,) = CarnetGoods.objects.all()
    # A number that is said counts; what is left over is told.
    Page(tech, at(packed, "rigs:carnet_goods", row.pk)).send(pieces="7", kind="leads")
    assert f"{stands} stand" in carnet_of(packed.production).not_listed[0]
    assert tech.post(at(packed, "rigs:carnet_goods_retire", row.pk)).status_code == 302
    assert not any(each.by_hand for each in carnet_of(packed.production).goods)
    crew = as_user(packed.people[Role.CREW])
    assert crew.get(at(packed, "rigs:carnet_goods_new")).status_code == 403


def test_what_is_written_has_its_history_and_its_api(packed: World) -> None:
    tech, production = as_user(packed.tech), packed.production.pk
    lines = reverse("api-carnet-lines", args=[production])

    def send(address: str, method: str = "post", **sent: Any) -> tuple[int, Any]:
        response = getattr(tech, method)(address, sent, content_type="application/json")
        return response.status_code, response.json() if response.content else None

    code, refused = send(lines, kind="other", what="Tool case")
    assert (code, refused["fields"]["pieces"]) == (
        400,
        ["Nothing counts these: how many are there?"],
    )
    stand = {"kind": "stands", "what": "Stand, tall", "worth": "40", "currency": "EUR"}
    code, made = send(lines, **stand)
    assert (code, made["pieces"], made["version"]) == (201, None, 1)
    one = reverse("api-carnet-line", args=[production, made["id"]])
    assert send(one, "put", **stand | {"pieces": 3, "version": 1})[1]["version"] == 2
    assert send(one, "put", **stand | {"pieces": 4, "version": 1})[0] == 400  # somebody else did
    assert tech.get(one).json()["pieces"] == 3
    shown = Page(tech, at(packed, "rigs:carnet_goods", made["id"])).html
    assert "Pieces: nothing → 3." in shown
    assert tech.delete(one).status_code == 204
    changes = CarnetGoodsChange.objects.order_by("at")
    assert [(*each.words, each.by_name) for each in changes] == [
        ("On the list: Stand, tall.", packed.tech.name),
        ("Pieces: nothing → 3.", packed.tech.name),
        ("Taken off the list.", packed.tech.name),
    ]
    assert as_user(packed.people[Role.CREW]).post(lines).status_code == 403


def test_the_list_of_a_journey_has_what_plays_there(packed: World) -> None:
    player = Player.objects.create(production=packed.production, name="Wren", instrument="harp")
    harp = make_rig(packed.production, player, packed.tech, "Harp")
    packed_harp = replace(packed, rig=harp)
    packed_harp.record(Add(str(uuid4()), "unit", {"name": "Harp of ash", "gear": "other"}))
    show = make_show(packed)
    ShowRig.objects.create(show=show, rig=harp, plays=False, by=packed.tech)
    tech = as_user(packed.tech)
    url = at(packed, "rigs:carnet")
    assert "Harp of ash" in tech.get(url).content.decode()
    for asked in ({"show": str(show.pk)}, {"leg": str(show.leg_id)}):
        html = tech.get(url, asked).content.decode()
        assert "Harp of ash" not in html
        assert "Case 3" in html
    rows = tech.get(at(packed, "rigs:carnet_file", "csv"), {"leg": str(show.leg_id)})
    assert "Harp of ash" not in rows.content.decode()
    api = f"/api/v1/productions/{packed.production.pk}/carnet/"
    assert "Harp of ash" in tech.get(api).content.decode()
    assert "Harp of ash" not in tech.get(api, {"show": str(show.pk)}).content.decode()
    assert "Harp of ash" in tech.get(url, {"show": str(uuid4())}).content.decode()


CASES, CODES = st.sampled_from("ABC"), st.sampled_from(["EUR", "SEK", ""])


@given(st.lists(st.tuples(CASES, CODES, st.integers(0, 999))))
def test_sums_of_cases_add_up_to_that_of_the_list(drawn: list[tuple[str, str, int]]) -> None:
    goods = [
        Goods(
            f"Thing {n}",
            "Thing",
            packed_in=case,
            worth=Decimal(amount) if code else None,
            currency=code,
        )
        for n, (case, code, amount) in enumerate(drawn)
    ]
    whole, cases = sums_of(goods), in_cases(goods)
    for code in ("EUR", "SEK"):
        parts = [case.sums.worth.get(code, Decimal(0)) for case in cases]
        assert sum(parts) == sum(amount for _, own, amount in drawn if own == code)
        assert whole.worth.get(code, Decimal(0)) == sum(parts)
    assert sum(case.sums.without_value for case in cases) == whole.without_value


def test_the_page_says_it_and_costs_the_same_for_many(packed: World) -> None:
    tech, url = as_user(packed.tech), at(packed, "rigs:carnet")
    html = tech.get(url).content.decode()
    for said in ("A chamber of commerce issues a carnet", "1350.00 GBP", "Case 11", "DE, Germany"):
        assert said in html
    few = queries_of(tech, url)
    for number in range(12):
        add(packed, "unit", name=f"Unit {number}", gear="pedal", packed_in=f"Case {number}")
    assert queries_of(tech, url) == few


def test_an_empty_production_says_what_it_is_for(world: World) -> None:
    html = as_user(world.tech).get(at(world, "rigs:carnet"), {"variant": "fly"}).content.decode()
    assert "Nothing to list yet" in html
    assert as_user(world.outsider).get(at(world, "rigs:carnet")).status_code == 404


def rows_of(client: Client, world: World) -> list[list[str]]:
    url = at(world, "rigs:carnet_file", "csv")
    return list(csv.reader(io.StringIO(client.get(url).content.decode("utf-8-sig"))))


def test_files_have_every_line_and_sum_and_run_no_formula(packed: World) -> None:
    tech = as_user(packed.tech)
    rows = rows_of(tech, packed)
    assert rows[1][1:] == [
        *["Case 3", "Valve amplifier head: Tarn", "Head", "1", "T-7"],
        *[rows[1][6], "1350.00", "GBP", "21", "46.3"],
        *["640 × 330 × 340 mm (25.2 × 13 × 13.4 in)", ""],
    ]
    assert [row[3] for row in rows if row[0] == "4"] == ["'=1+1"]
    whole = [row for row in rows if not row[1] and not row[0]]
    assert [row[7:9] for row in whole] == [["145.00", "EUR"], ["1350.00", "GBP"]]
    book = tech.get(at(packed, "rigs:carnet_file", "xlsx")).content
    assert read("carnet.xlsx", book)[1][2] == "Valve amplifier head: Tarn"
    assert tech.get(at(packed, "rigs:carnet_file", "doc")).status_code == 404


@pytest.mark.parametrize(("paper", "points"), [("a4", (842, 595)), ("us-letter", (792, 612))])
def test_on_paper(packed: World, paper: str, points: tuple[int, int]) -> None:
    """Sizes in points, across: ISO 216 A4 297 × 210 mm, US Letter 11 × 8.5 in."""
    url = at(packed, "rigs:carnet_file", "pdf")
    pdf = as_user(packed.tech).get(url, {"paper": paper}).content
    document = pypdfium2.PdfDocument(pdf)
    assert tuple(round(side) for side in document[0].get_size()) == points
    text = " ".join(text_of(pdf))
    for said in ("Case 3", "1350.00 GBP", "145.00 EUR", "no value", "chamber of commerce"):
        assert said in text


def test_a_lost_picture_does_not_keep_the_sheet_from_the_printer(packed: World) -> None:
    image = StoredPhoto.objects.create(
        production=packed.production,
        sha256="1" * 64,
        thumb_sha256="1" * 64,
        width=1,
        height=1,
        bytes=1,
        taken_by=packed.tech,
    )
    add(packed, "photo", image=str(image.pk), about=str(packed.unit.pk))
    tech = as_user(packed.tech)
    assert "Photo of Head" in tech.get(at(packed, "rigs:carnet")).content.decode()
    assert tech.get(at(packed, "rigs:carnet_file", "pdf")).content.startswith(b"%PDF")
