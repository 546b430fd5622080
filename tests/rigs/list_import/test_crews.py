"""Lists as crews have them, read into an empty production: what is right, asked about, or wrong.

What their cells mean was written down before anything read them (`crews/meant.py`).
"""

from __future__ import annotations

import pytest

from core.models import Player, Production
from rigs.changes.reasons import NO_REASON
from rigs.list_import.account import Account, Fate
from rigs.list_import.asked import asked_of
from rigs.list_import.services import apply, mend, preview, remap
from rigs.models import Device, Input, Rig
from tests.rigs.list_import.crews.build import grid_of
from tests.rigs.list_import.crews.meant import CREWS, Crew
from tests.rigs.list_import.crews.measure import brought, verdicts
from tests.support.world import make_user

pytestmark = pytest.mark.django_db
EACH = pytest.mark.parametrize("crew", CREWS, ids=lambda crew: crew.file)
# Its headings are questions (“what we play”): they are named by hand, one by one.
FOLK = "08-folk.csv"
# A column of the desk's channels is headed “FOH”; and nobody says whose “Speech” is.
OPEN = {FOLK: 52, "09-corporate.csv": 18}


@pytest.fixture
def place() -> Production:
    return Production.objects.create(name="Low Ferry")


@EACH
def test_no_cell_is_read_as_what_it_does_not_mean(crew: Crew, place: Production) -> None:
    said = verdicts(crew, brought(crew, place, make_user("Tilda Marnock")))
    assert {cell: words for cell, words in said.items() if words.startswith("wrong")} == {}
    asked = [words for words in said.values() if words.startswith("asked")]
    assert len(asked) == OPEN.get(crew.file, 0)


@EACH
def test_every_cell_is_used_asked_about_or_named(crew: Crew, place: Production) -> None:
    """The cells are counted by no code of this service."""
    found = brought(crew, place, make_user("Tilda Marnock"))
    shown = preview(found)
    account = Account(found, shown)
    cells = {
        (row, column): cell.strip()
        for row, line in enumerate(grid_of(crew), start=1)
        for column, cell in enumerate(line)
        if cell.strip()
    }
    assert {(cell.row, cell.column) for cell in account.cells} == set(cells)
    assert account.used + account.asked + account.not_used == len(account.cells) == len(cells)
    fields = {cell.name for row in asked_of(shown.faulty, found) for cell in row.cells}
    numbers = {int(name.split("-")[1]) for name in fields}
    left = {row.number for row in account.left_rows}
    for cell in account.cells:
        if cell.fate is Fate.ASKED:
            assert cell.row in numbers, cell
        if cell.fate is Fate.NOT_USED:
            assert cell.row in left or str(cell.column) not in found.mapping, cell


@EACH
def test_what_is_shown_is_made_once_and_the_list_then_changes_nothing(
    crew: Crew, place: Production
) -> None:
    by = make_user("Tilda Marnock")
    found = brought(crew, place, by)
    if crew.file == FOLK:
        keys = {"A": "name", "B": "player", "C": "device", "D": "stage_position", "E": "phantom"}
        named = {str("ABCDE".index(letter)): key for letter, key in keys.items()}
        remap(list_import=found, mapping={**found.mapping, **named})
    shown = preview(found)
    made = apply(list_import=found, by=by, reason=NO_REASON, seen=shown.seen)
    assert len(made) == len(shown.new_rigs) == Rig.objects.count() > 0
    assert Player.objects.count() == len(shown.new_players)
    assert Device.objects.count() == len(shown.new_devices)
    assert Input.objects.count() == len(shown.changing) > 4
    again = brought(crew, place, by)
    again.mapping = found.mapping
    again.save()
    assert preview(again).changing == []


def test_headings_that_are_no_trade_words_are_named_by_hand(place: Production) -> None:
    crew = next(crew for crew in CREWS if crew.file == FOLK)
    found = brought(crew, place, make_user("Tilda Marnock"))
    letters = {"A": "name", "C": "device", "D": "stage_position", "E": "phantom"}
    mapping = {**found.mapping, **{str("ABCDE".index(k)): v for k, v in letters.items()}}
    remap(list_import=found, mapping=mapping)
    said = verdicts(crew, found)
    assert [words for words in said.values() if words.startswith("wrong")] == []
    # Two devices in one cell, two lines in one, phantom for one of two, “same as”, and “?”.
    errors = [error for row in preview(found).rows for error in row.errors.values()]
    assert errors == [
        "“same as voice”: which one? Name one microphone or DI.",
        "“pickup into DI + Clipper S”: which one? Name one microphone or DI.",
        "“48V on the clip” is neither yes nor no.",
        "“?” is neither yes nor no.",
    ]


def test_a_mended_cell_is_read_and_every_other_row_stays(place: Production) -> None:
    crew = CREWS[1]
    found = brought(crew, place, make_user("Tilda Marnock"))
    before = {row.number: row.changes for row in preview(found).rows}
    assert [list(row.errors) for row in preview(found).faulty] == [["high_pass_hz"]] * 2
    mend(list_import=found, mended={"6": {"high_pass_hz": "150 Hz"}}, making={})
    after = {row.number: row.changes for row in preview(found).rows}
    assert ("HPF, Hz", "", "150") in after.pop(6)
    del before[6]
    assert after == before
    assert [row.number for row in preview(found).faulty] == [7]


def test_a_cell_sent_as_it_stands_is_no_mending(place: Production) -> None:
    found = brought(CREWS[1], place, make_user("Tilda Marnock"))
    mend(list_import=found, mended={"6": {"high_pass_hz": "in"}, "999": {"name": "x"}}, making={})
    assert found.mended == {}
