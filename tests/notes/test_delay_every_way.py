"""The delay at the desk belongs to one of two channels, and stays with it by every way out and in.

What is typed is 2.91 ms on the DI: a metre of air at 20 °C is 1 / 343.2 s = 2.914 ms (ISO 9613-1,
from memory), by which the microphone is late.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils.html import strip_tags

from notes.archive.load import load
from notes.archive.writer import export
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import NO_REASON
from rigs.list_import.services import apply, import_list, preview
from rigs.lists.input_list import as_rows, inputs_of
from rigs.lists.sheets import write_csv
from rigs.lists.workbook import write_xlsx
from rigs.models import Input
from tests.notes.archive.test_round_trip import forget
from tests.rigs.paper.test_sheets import text_of
from tests.support.api import api
from tests.support.pages import as_user
from tests.support.pages import at as page_at
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World, make_device

DI = "00000000-0000-4000-8000-0000000000d1"
DELAY = Decimal("2.91")
LISTS = pytest.mark.parametrize("write", [write_csv, lambda rows: write_xlsx(rows, "x")])
Write = Callable[[Any], bytes]


@pytest.fixture
def both(world: World) -> World:
    """The microphone of the bass on channel 7, its DI on 8; neither is delayed."""
    box = make_device(world.production, "Plain DI", form="di", principle="di_passive", pattern="")
    fields = {"number": 8, "name": "Bass DI", "unit": str(world.unit.pk), "device": str(box.pk)}
    world.record(Add(DI, "input", fields))
    return world


@pytest.fixture
def late(both: World) -> World:
    both.record(Set(DI, "input", {"delay_ms": str(DELAY)}))
    return both


def delays() -> dict[int, Decimal | None]:
    return dict(Input.objects.order_by("number").values_list("number", "delay_ms"))


def by_the_api(world: World, part: str, value: Any) -> Any:
    edit = {"op": "set", "kind": "input", "part": part, "fields": {"delay_ms": value}}
    body = {"base": 2, "edits": [edit]}
    return api(world.tech).post(f"/api/v1/rigs/{world.rig.pk}/changes/", body)


def test_the_api_takes_it_and_gives_it_back_on_its_channel(both: World) -> None:
    written = by_the_api(both, DI, 2.91)
    assert written.status_code == 201
    (change,) = written.json()["revision"]["changes"]
    assert (change["part"], change["field"], change["old"]) == (DI, "delay_ms", None)
    assert Decimal(change["new"]) == DELAY
    assert delays() == {7: None, 8: DELAY}
    parts = api(both.tech).get(f"/api/v1/rigs/{both.rig.pk}/").json()["snapshot"]
    given = {key: part["delay_ms"] for key, part in parts.items() if "delay_ms" in part}
    assert given == {DI: "2.91"}


@pytest.mark.parametrize("value", [-2.91, "-2.91", "1000.01", "2.915"])
def test_the_api_refuses_a_delay_with_a_minus_and_what_no_desk_has(both: World, value: Any) -> None:
    """No channel can be early; whoever reads −2.91 ms has to delay the other one."""
    refused = by_the_api(both, DI, value)
    assert refused.status_code == 422
    assert "delay_ms" in str(refused.json())
    assert delays() == {7: None, 8: None}


def test_the_page_of_the_input_refuses_a_minus_beside_the_field(both: World) -> None:
    page = Page(as_user(both.tech), at(both, "input_edit", Input.objects.get(pk=DI)))
    back = page.send(delay_ms="-2.91")
    assert back.status == 200
    assert back.response.context["form"].errors["delay_ms"]
    assert 'value="-2.91"' in back.html
    assert delays() == {7: None, 8: None}


@LISTS
def test_a_list_out_and_in_puts_it_back_on_its_channel(late: World, write: Write) -> None:
    data = write(as_rows(inputs_of(late.production)))
    late.record(Set(DI, "input", {"delay_ms": None}))
    back = import_list(production=late.production, by=late.tech, name="list", data=data)
    (row,) = preview(back).changing
    assert row.changes == [("Delay, ms", "", "2.91")]
    apply(list_import=back, by=late.tech, reason=NO_REASON)
    assert delays() == {7: None, 8: DELAY}


@pytest.mark.parametrize("none", ["off", "0", "-"])
def test_a_list_takes_a_delay_away(late: World, none: str) -> None:
    text = f"Ch;Name;Player;Delay ms\n8;Bass DI;Ines Halloran;{none}\n"
    back = import_list(
        production=late.production, by=late.tech, name="list.csv", data=text.encode()
    )
    apply(list_import=back, by=late.tech, reason=NO_REASON)
    assert delays() == {7: None, 8: None}


@pytest.mark.parametrize("minus", ["-2.91", "−2.91", "-2,91 ms"])
def test_a_list_with_a_minus_is_told_at_its_row(both: World, minus: str) -> None:
    text = f"Ch;Name;Player;Delay ms\n8;Bass DI;Ines Halloran;{minus}\n"
    back = import_list(
        production=both.production, by=both.tech, name="list.csv", data=text.encode()
    )
    (row,) = preview(back).faulty
    assert list(row.errors) == ["delay_ms"]
    assert delays() == {7: None, 8: None}


def test_the_printed_list_says_it_on_the_line_of_its_channel(late: World) -> None:
    pdf = as_user(late.tech).get(page_at(late, "rigs:input_list_file", "pdf")).content
    text = " ".join(" ".join(text_of(pdf)).split())
    mic, _, di = text.partition("Bass DI")
    assert "2.91 ms" in di
    assert "2.91 ms" not in mic


def test_the_history_says_it_in_words_with_its_channel(late: World) -> None:
    page = as_user(late.tech).get(at(late, "revision", 3)).content.decode()
    told = " ".join(strip_tags(page).partition("2.91 ms")[0].split())[-80:]
    assert re.search(r"Bass DI\b.*\b[Dd]elay at the desk", told), told


def test_an_archive_brings_it_back_on_its_channel(late: World, tmp_path: Path) -> None:
    export(late.production, tmp_path / "a.zip")
    forget()
    load(tmp_path / "a.zip")
    assert delays() == {7: None, 8: DELAY}


def test_the_database_itself_takes_no_minus(late: World) -> None:
    with pytest.raises(ValidationError):
        late.record(Set(DI, "input", {"delay_ms": "-1"}), reason=HIRE)
