"""Controls that moved since the player signed show where they stood, drawn and in words."""

from __future__ import annotations

from uuid import uuid4

import pypdfium2
import pytest

from notes.models import Party, SignOff
from notes.signing.panels import last_signed
from notes.signing.services import sign
from rigs.changes.edits import Add
from rigs.models import Revision
from rigs.paper.pdf import Paper
from rigs.paper.sheets import recall_sheet
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page, at
from tests.support.world import World


def _sign(world: World, decision: str = "signed", party: str = Party.PLAYER) -> None:
    world.rig.refresh_from_db()
    user = world.people["player"] if party == Party.PLAYER else world.tech
    sign(
        rig=world.rig,
        party=party,
        decision=decision,
        words="So." if decision != "signed" else "",
        user=user,
        revision=world.rig.head_number,
    )


def _page(world: World, name: str, *parts: object) -> str:
    return Page(as_user(world.tech), at(world, name, *parts)).html


def test_the_old_position_is_ghosted_marked_and_said(world: World) -> None:
    _sign(world)
    world.turn("4:00")
    for html in (_page(world, "rig"), _page(world, "unit", world.unit)):
        assert "dial-ghost" in html
        assert "dial-changed" in html
        assert "was 2:30 when signed" in html
        assert "1 control moved since" in html


def test_turned_and_turned_back_is_no_change(world: World) -> None:
    _sign(world)
    world.turn("4:00")
    world.turn("2:30")
    assert "when signed" not in _page(world, "rig")


def test_a_control_that_came_later_is_new_since_then(world: World) -> None:
    _sign(world)
    treble = {"unit": str(world.unit.pk), "name": "Treble", "setting": "1:00", "position": 2}
    world.record(Add(str(uuid4()), "control", treble))
    html = _page(world, "unit", world.unit)
    assert "new since it was signed" in html


def test_nothing_is_marked_where_the_player_has_not_signed(world: World) -> None:
    _sign(world, party=Party.TECH)
    world.turn("4:00")
    assert "when signed" not in _page(world, "rig")


def test_a_later_refusal_does_not_take_away_what_was_signed(world: World) -> None:
    _sign(world)
    world.turn("4:00")
    _sign(world, decision="withheld")
    assert SignOff.objects.count() == 2
    found = last_signed(world.rig)
    assert found is not None
    assert found.number == 1
    assert "was 2:30 when signed" in _page(world, "rig")


def test_what_is_signed_now_bears_no_mark(world: World) -> None:
    world.turn("4:00")
    _sign(world)
    assert "dial-ghost" not in _page(world, "rig")


def test_pages_of_the_past_are_as_they_were(world: World) -> None:
    _sign(world)
    world.turn("4:00")
    world.turn("5:00")
    html = Page(as_user(world.tech), at(world, "revision", 2)).html
    assert "when signed" not in html


@pytest.mark.parametrize(("number", "said"), [(2, True), (1, False)])
def test_the_newest_recall_sheet_says_what_moved(world: World, number: int, said: bool) -> None:
    _sign(world)
    world.turn("4:00")
    world.rig.refresh_from_db()
    revision = Revision.objects.get(rig=world.rig, number=number)
    pdf = recall_sheet(world.rig, revision, address="http://a/", paper=Paper.A4)
    text = " ".join(
        " ".join(page.get_textpage().get_text_range().split())
        for page in pypdfium2.PdfDocument(pdf)
    )
    assert ("4:00 was 2:30 when signed" in text) is said
    assert ("One control has moved since" in text) is said


def test_queries_do_not_grow_with_what_moved(world: World) -> None:
    _sign(world)
    world.turn("4:00")
    tech, url = as_user(world.tech), at(world, "rig")
    one = queries_of(tech, url)
    for n in range(8):
        control = {
            "unit": str(world.unit.pk),
            "name": f"C{n}",
            "setting": "1:00",
            "position": n + 2,
        }
        world.record(Add(str(uuid4()), "control", control))
    world.turn("5:00")
    assert queries_of(tech, url) == one
