"""A list changes nothing until it is confirmed, goes through the gateway, and twice is once."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from rigs.changes.edits import Set
from rigs.changes.reasons import NO_REASON, ReasonRequired
from rigs.list_import.services import apply, import_list, preview, remap
from rigs.lists.input_list import as_rows, inputs_of, numbering
from rigs.lists.sheets import write_csv
from rigs.lists.workbook import write_xlsx
from rigs.models import Input, ListImport, Revision
from tests.support.world import HIRE, World


def brought(world: World, text: str) -> ListImport:
    return import_list(
        production=world.production, by=world.tech, name="list.csv", data=text.encode()
    )


def test_nothing_changes_before_it_is_confirmed(world: World) -> None:
    shown = preview(brought(world, "Channel,Name,Player,Gain\n9,Bass mic,Ines Halloran,31\n"))
    (row,) = shown.changing
    assert row.changes == [("Channel", "7", "9"), ("Gain, dB", "", "31")]
    assert Input.objects.get().number == 7
    assert Revision.objects.count() == 1


def test_a_confirmed_list_is_one_change_with_its_reason(world: World) -> None:
    text = "Ch;What;Musician;Mic;Dist\n7;Bass mic;bass;Corvane Eskvane 4;12 cm\n8;Bass DI;bass;;\n"
    (revision,) = apply(list_import=brought(world, text), by=world.tech, reason=HIRE)
    assert revision.reason_kind == "hire"
    entry = Input.objects.get(name="Bass mic")
    assert (entry.device, str(entry.distance_m.normalize())) == (world.other_mic, "0.12")
    assert Input.objects.get(name="Bass DI").number == 8


def test_the_same_list_again_changes_nothing(world: World) -> None:
    text = "Channel,Name,Player,Phantom\n12,Bass mic,Ines Halloran,yes\n13,New,Ines Halloran,no\n"
    apply(list_import=brought(world, text), by=world.tech, reason=HIRE)
    again = brought(world, text)
    assert preview(again).changing == []
    assert apply(list_import=again, by=world.tech, reason=HIRE) == []


def test_a_microphone_swapped_by_list_needs_a_reason_too(world: World) -> None:
    text = "Channel,Name,Player,Mic\n7,Bass mic,Ines Halloran,Eskvane 4\n"
    with pytest.raises(ReasonRequired):
        apply(list_import=brought(world, text), by=world.tech, reason=NO_REASON)
    assert Input.objects.get().device == world.mic


def test_good_cells_are_taken_and_the_others_say_what_is_wrong(world: World) -> None:
    text = (
        "Channel,Name,Player,Mic,HPF\n"
        "x,Bass mic,Ines Halloran,Hollow 2 or Eskvane 4,80 Hz\n"
        "4,,Ines Halloran,,loud\n"
        "5,Kit,Ines Halloran,,\n"
    )
    shown = preview(brought(world, text))
    assert [row.errors for row in shown.faulty] == [
        {
            "number": "“x” is not a channel number.",
            "device": "“Hollow 2 or Eskvane 4”: which one? Name one microphone or DI.",
        },
        {"high_pass_hz": "“loud” is not a frequency in Hz.", "name": "A new input needs a name."},
    ]
    assert [(row.number, row.changes) for row in shown.changing] == [
        (2, [("HPF, Hz", "30", "80")]),
        (4, [("Channel", "", "5"), ("Name", "", "Kit")]),
    ]
    assert [row.number for row in shown.waiting] == [3]


def test_a_row_with_one_word_names_the_player_of_those_below(world: World) -> None:
    text = "Channel,Name,Mic\nBASS,,\n9,Bass mic,\n,,\n10,Bass DI,\n"
    shown = preview(brought(world, text))
    assert [(row.rig.name, row.is_new) for row in shown.changing if row.rig] == [
        ("Bass main", False),
        ("Bass main", True),
    ]


@pytest.mark.parametrize("write", [write_csv, lambda rows: write_xlsx(rows, "x")])
def test_our_own_list_comes_back_as_no_change(world: World, write: object) -> None:
    data = write(as_rows(inputs_of(world.production)))  # type: ignore[operator]
    back = import_list(production=world.production, by=world.tech, name="list", data=data)
    shown = preview(back)
    assert (len(shown.rows), shown.changing, shown.faulty) == (1, [], [])


def test_a_column_can_be_named_by_hand(world: World) -> None:
    found = brought(world, "Channel,Name,Player,Wobble\n7,Bass mic,Ines Halloran,33\n")
    remap(list_import=found, mapping={**found.mapping, "3": "gain_db"})
    assert preview(found).changing[0].changes == [("Gain, dB", "", "33")]


def test_duplicates_and_gaps_are_reported() -> None:
    found = numbering([Input(number=n) for n in (1, 2, 2, 5, None)])
    assert found == ([2], [3, 4], 1)


def test_the_list_costs_five_queries(world: World, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(5):  # type: ignore[operator]
        as_rows(inputs_of(world.production))


def test_what_moved_on_since_it_was_seen_is_not_overwritten(world: World) -> None:
    found = brought(world, "Channel,Name,Player,Gain\n7,Bass mic,Ines Halloran,31\n")
    seen = preview(found).seen
    world.record(Set(str(world.input.pk), "input", {"gain_db": "40"}))
    with pytest.raises(ValidationError, match="Look at its rows again"):
        apply(list_import=found, by=world.tech, reason=HIRE, seen=seen)
    assert Input.objects.get().gain_db == 40
    found.refresh_from_db()
    assert found.applied_at is None
    apply(list_import=found, by=world.tech, reason=HIRE, seen=preview(found).seen)
    assert Input.objects.get().gain_db == 31


def test_a_list_is_taken_over_once(world: World) -> None:
    found = brought(world, "Channel,Name,Player\n9,New,Ines Halloran\n")
    apply(list_import=found, by=world.tech, reason=HIRE)
    with pytest.raises(ValidationError, match="imported already"):
        apply(list_import=found, by=world.tech, reason=HIRE)


def test_values_that_no_input_can_have_are_errors_of_their_row(world: World) -> None:
    text = "Channel,Name,Player,Gain,HPF,LPF\n7,Bass mic,Ines Halloran,500,900,200\n"
    (row,) = preview(brought(world, text)).faulty
    assert row.errors == {
        "gain_db": "Gain, dB, “500”: Ensure this value is less than or equal to 90.",
        "together": "The LPF is below the HPF: nothing would be left.",
    }
    text = "Channel,Name,Player,HPF,LPF\n7,Bass mic,Ines Halloran,900,200\n"
    (row,) = preview(brought(world, text)).faulty
    assert "nothing would be left" in row.errors["together"]


def test_units_in_headings_and_merged_cells(world: World) -> None:
    """Headings over two rows, a player merged over the rows below, a dash for nothing."""
    text = (
        "Festival of nothing;;;;;\n"
        "Ch;Source;Player;Preamp;;Dist. (cm)\n"
        ";;;Gain;48V;\n"
        "7;Bass mic;Ines Halloran;31;x;14,5\n"
        ";;;;;\n"
        "8;Bass DI;;–;–;–\n"
    )
    mic, di = preview(brought(world, text)).rows
    assert mic.changes == [
        ("Phantom", "no", "yes"),
        ("Gain, dB", "", "31"),
        ("Distance", "35 mm", "14.5 cm"),
    ]
    assert (di.number, di.is_new, di.rig, di.errors) == (6, True, world.rig, {})
    assert di.changes == [("Channel", "", "8"), ("Name", "", "Bass DI")]


def test_a_preview_costs_a_fixed_number_of_queries(
    world: World, django_assert_num_queries: object
) -> None:
    rows = "".join(f"{n},In {n},Ines Halloran\n" for n in range(100, 200))
    found = brought(world, f"Channel,Name,Player\n{rows}")
    with django_assert_num_queries(8):  # type: ignore[operator]
        preview(found)
