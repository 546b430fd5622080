"""A list brought for one show notes what differs that day, and touches no rig."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from core.models import Show
from rigs.changes.edits import Add
from rigs.list_import.services import apply_to_show, import_list, preview
from rigs.lists.input_list import day_grid
from rigs.lists.sheets import write_csv
from rigs.lists.workbook import write_xlsx
from rigs.models import Input, ListImport, Revision, ShowInput
from rigs.revisions.read import live
from rigs.shows.services import differ, rows_of
from tests.rigs.shows.shows import make_show
from tests.support.world import World, input_fields

WHY = {"why": "hire", "words": "The festival’s own microphones."}


def brought(world: World, show: Show, text: str | bytes) -> ListImport:
    data = text if isinstance(text, bytes) else text.encode()
    return import_list(
        production=world.production, by=world.tech, name="list", data=data, show=show
    )


def take(world: World, found: ListImport, **more: Any) -> int:
    return apply_to_show(list_import=found, by=world.tech, **(WHY | more))


LIST = "Ch,Name,Player,Mic,Pad,HPF,48V,Hired\n3,Bass mic,Ines Halloran,Eskvane 4,20,off,x,yes\n"


def test_nothing_is_noted_before_it_is_confirmed(world: World, show: Show) -> None:
    (row,) = preview(brought(world, show, LIST)).changing
    assert row.changes == [
        ("Channel", "7", "3"),
        ("Microphone or DI", "Corvane Hollow 2", "Corvane Eskvane 4"),
        ("Phantom", "no", "yes"),
        ("Pad, dB", "", "-20"),
        ("HPF, Hz", "30", ""),
        ("Hired locally", "no", "yes"),
    ]
    assert not ShowInput.objects.exists()


def test_a_confirmed_list_is_that_days_differences_and_no_change_of_a_rig(
    world: World, show: Show
) -> None:
    before = live(world.rig)
    assert take(world, brought(world, show, LIST)) == 1
    made = ShowInput.objects.get()
    assert (made.number, made.device, made.pad_db, made.high_pass_hz, made.phantom) == (
        3,
        world.other_mic,
        -20,
        0,
        True,
    )
    assert (made.hired_locally, made.why, made.words, made.by) == (
        True,
        WHY["why"],
        WHY["words"],
        world.tech,
    )
    assert Revision.objects.count() == 1
    assert live(world.rig) == before


def test_the_same_list_again_changes_nothing(world: World, show: Show) -> None:
    take(world, brought(world, show, LIST))
    again = brought(world, show, LIST)
    assert preview(again).changing == []
    assert take(world, again) == 0
    assert ShowInput.objects.get().version == 1


@pytest.mark.parametrize("write", [write_csv, lambda rows: write_xlsx(rows, "x")])
def test_a_shows_own_list_comes_back_as_no_change(world: World, show: Show, write: Any) -> None:
    world.record(
        Add(
            str(uuid4()),
            "input",
            {
                **input_fields(world.unit.pk, world.mic.pk),
                "name": 'Bass, "far" שלום 🎸',
                "number": 8,
                "pad_db": "-10",
                "pan": -30,
            },
        )
    )
    far = Input.objects.get(number=8)
    differ(show, world.input, by=world.tech, absent=True, **WHY)
    differ(show, far, by=world.tech, device=world.other_mic, pad_db=0, number=9, **WHY)
    shown = preview(brought(world, show, write(day_grid(rows_of(show)))))
    assert (len(shown.rows), shown.changing, shown.faulty) == (2, [], [])
    assert [row.passed_over for row in shown.rows] == [[], []]


def test_one_shows_list_can_be_taken_to_another(world: World, show: Show) -> None:
    differ(show, world.input, by=world.tech, gain_db=Decimal(44), absent=True, **WHY)
    other = make_show(world, "Second room")
    take(world, brought(world, other, write_csv(day_grid(rows_of(show)))))
    made = ShowInput.objects.get(show=other)
    assert (made.gain_db, made.absent) == (44, True)


def test_a_value_of_the_list_takes_a_difference_back(world: World, show: Show) -> None:
    differ(show, world.input, by=world.tech, gain_db=Decimal(44), number=3)
    take(world, brought(world, show, "Ch,Name,Player\n7,Bass mic,Ines Halloran\n"))
    made = ShowInput.objects.get()
    assert (made.number, made.gain_db) == (None, 44)


def test_what_is_new_or_cannot_be_is_left_out_and_says_why(world: World, show: Show) -> None:
    text = (
        "Channel,Name,Player,Gain\n1,Theremin,Ines Halloran,\n"
        "2,Ghost,Nobody,\n99999,Bass mic,Ines Halloran,500\n"
    )
    shown = preview(brought(world, show, text))
    assert [list(row.errors) for row in shown.rows] == [
        ["name"],
        ["player", "name"],
        ["gain_db", "number"],
    ]
    text = "Channel,Name,Player\n99999,Bass mic,Ines Halloran\n"
    (row,) = preview(brought(world, show, text)).faulty
    assert row.errors == {"number": "Channel: Ensure this value is less than or equal to 9999."}


def test_what_is_the_same_at_every_show_is_passed_over_and_said(world: World, show: Show) -> None:
    text = "Channel,Name,Player,Pan,Dist\n7,Bass mic,Ines Halloran,L20,9 cm\n"
    (row,) = preview(brought(world, show, text)).rows
    assert row.passed_over == [
        "Pan is the same at every show.",
        "Distance is the same at every show.",
    ]
    assert (row.changes, row.errors) == ([], {})


def test_what_moved_on_since_it_was_seen_is_not_overwritten(world: World, show: Show) -> None:
    found = brought(world, show, LIST)
    seen = preview(found).seen
    differ(show, world.input, by=world.engineer, number=5)
    with pytest.raises(ValidationError, match="Look at its rows again"):
        take(world, found, seen=seen)
    assert ShowInput.objects.get().number == 5


def test_a_retired_show_takes_no_list(world: World, show: Show) -> None:
    found = brought(world, show, LIST)
    show.retire()
    with pytest.raises(ValidationError, match="retired"):
        take(world, found)
    with pytest.raises(ValueError, match="retired"):
        brought(world, show, LIST)


def test_on_the_pages_a_circumstance_is_asked_for(world: World, show: Show, client: Any) -> None:
    client.force_login(world.tech)
    found = brought(world, show, LIST)
    address = reverse("rigs:list_import", args=[world.production.pk, found.pk])
    seen = preview(found).seen
    sent = {"confirm": "1", "seen": seen, "why": "", "words": "typed"}
    page = client.post(address, sent)
    assert "typed" in page.content.decode()
    assert not ShowInput.objects.exists()
    page = client.post(address, sent | WHY, follow=True)
    assert "1 input. The rigs stay as they are." in page.content.decode()
    assert page.redirect_chain[-1][0] == reverse(
        "rigs:show_inputs", args=[world.production.pk, show.pk]
    )
    assert ShowInput.objects.get().number == 3


def test_a_long_preview_is_shown_in_pages(world: World, show: Show, client: Any) -> None:
    client.force_login(world.tech)
    rows = "".join(f"{n},In {n},Nobody\n" for n in range(1, 451))
    found = brought(world, show, f"Channel,Name,Player\n{rows}")
    address = reverse("rigs:list_import", args=[world.production.pk, found.pk])
    page = client.get(address, {"rows": "faulty", "page": "3"}).content.decode()
    assert "Rows 401 to 450 of 450" in page
    assert "In 401" in page
    assert "In 400<" not in page
    assert "rows=faulty&amp;page=2" in page
