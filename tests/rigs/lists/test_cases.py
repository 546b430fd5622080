"""Cases, what they weigh, what each place on stage draws, and where a case's label leads."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import numpy as np
import pypdfium2
import pytest
from django.urls import reverse

from rigs.changes.edits import Add, Set
from rigs.lists.cases import Count
from rigs.lists.pack import as_rows, pack_of
from rigs.models import Device, Unit
from tests.support.squares import squares_in
from tests.support.world import World


@pytest.fixture
def packed(world: World) -> World:
    """A head of 21.4 kg and 240 W and a cabinet not weighed in Case 10; a loose pedal of 0.5 kg;
    an organ in Case 9 that nobody measured."""
    cabinet, pedal, organ = (str(uuid4()) for _ in range(3))
    where = {"packed_in": "Case 10", "stage_position": "Bass riser"}
    figures = [
        (str(world.unit.pk), "weight", "21.4"),
        (str(world.unit.pk), "mains_power", "240"),
        (pedal, "weight", "0.5"),
        (pedal, "mains_power", "4.5"),
    ]
    world.record(
        Set(str(world.unit.pk), "unit", where),
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet", **where}),
        Add(pedal, "unit", {"name": "Pedal", "gear": "pedal"}),
        Add(organ, "unit", {"name": "Organ", "gear": "keyboard", "packed_in": "Case 9"}),
        *(
            Add(str(uuid4()), "fact", {"unit": unit, "key": key, "value": value})
            for unit, key, value in figures
        ),
    )
    return world


def test_weights_are_summed_by_case_and_what_is_not_weighed_is_said(packed: World) -> None:
    """21.4 kg is noted as 22: what one person lifts is never rounded down."""
    pack = pack_of(packed.production)
    assert pack.cases == [
        Count("Case 9", None, "Organ; not weighed", True),
        Count("Case 10", 22, "Head, Cabinet; not weighed: Cabinet", True),
        Count("Pedal", 1, "Ines Halloran, no case noted"),
    ]
    assert pack.total_weight_kg == 23


def test_power_is_summed_by_place_on_stage(packed: World) -> None:
    pack = pack_of(packed.production)
    assert pack.power == [
        Count("Bass riser", 240, "Head 240 W"),
        Count("Ines Halloran, place not noted", 5, "Pedal 4.5 W"),
    ]
    assert "The mains power of Organ (Ines Halloran) is not noted." in pack.unknown


def test_an_unknown_weight_is_an_empty_cell(packed: World) -> None:
    row = next(row for row in as_rows(pack_of(packed.production)) if row[1] == "Case 9")
    assert row == ["Cases and their weight, kg", "Case 9", "", "", "Organ; not weighed", ""]


def test_the_page_of_a_case_leads_to_its_units(packed: World, client: Any) -> None:
    client.force_login(packed.tech)
    address = reverse("rigs:case", args=[packed.production.pk])
    page = client.get(address, {"name": "Case 10"}).content.decode()
    for unit in Unit.objects.filter(packed_in="Case 10"):
        assert reverse("rigs:unit", args=[packed.production.pk, packed.rig.pk, unit.pk]) in page
    assert "22 kg as noted" in page
    assert client.get(address, {"name": "Case 11"}).status_code == 404
    assert client.get(address).status_code == 302


def test_the_label_of_a_case_opens_its_page(packed: World, client: Any) -> None:
    """Read by ZXing, which knows nothing of how the square was made."""
    client.force_login(packed.tech)
    pdf = client.get(reverse("rigs:labels", args=[packed.production.pk])).content
    picture = np.asarray(pypdfium2.PdfDocument(pdf)[0].render(scale=3).to_numpy())
    said = squares_in(picture)
    assert [address.endswith("/case/?name=Case+10") for address in said].count(True) == 1
    for address in said:
        assert client.get(address.removeprefix("http://testserver")).status_code == 200


def test_the_pack_list_costs_the_same_for_many(
    packed: World, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(12):
        pack_of(packed.production)


def test_microphones_weigh_in_their_case_and_what_has_none_is_counted(packed: World) -> None:
    """0.3 kg of one microphone for one input, with 21.4 kg; 21.7 kg are 47.8 lb, so 48."""
    Device.objects.filter(pk=packed.mic.pk).update(packed_in="Case 10", weight_kg="0.3")
    pack = pack_of(packed.production)
    (case,) = [line for line in pack.cases if line.what == "Case 10"]
    assert (case.count, case.pounds) == (22, 48)
    assert case.where == "Head, Cabinet, 1 × Corvane Hollow 2; not weighed: Cabinet"
    assert "No case is noted for 1 of 5 things: Pedal." in pack.unknown


def test_the_page_and_label_of_a_case_of_microphones(packed: World, client: Any) -> None:
    client.force_login(packed.tech)
    Device.objects.filter(pk=packed.mic.pk).update(packed_in="Mic case")
    address = reverse("rigs:case", args=[packed.production.pk])
    page = client.get(address, {"name": "Mic case"}).content.decode()
    assert "1 × Corvane Hollow 2" in page
    assert "0 units travel in this" in page
