"""Many cables typed as a path: looked at, then made with their new units in one change."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rigs.cables.words import SaidCable, path_text
from rigs.changes.edits import Add
from rigs.editing.ordering import in_order
from rigs.models import Control, Link, Revision, Unit
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

PATH = "guitar > wireless > switcher; send 1 > comp > return 1; out > head > cab"


@pytest.fixture
def page(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "links_path"))


def ends() -> list[tuple[str, ...]]:
    return [
        (link.source.name, link.target.name, link.from_socket, link.to_socket)
        for link in in_order(Link.objects.live().select_related("source", "target"))
    ]


def test_a_path_is_looked_at_and_then_made_in_one_change(world: World, page: Page) -> None:
    before = Revision.objects.count()
    looked = page.send(words=PATH, preview="page")
    assert (looked.status, Revision.objects.count()) == (200, before)
    assert "Cables (6 new)" in looked.html
    assert "only a speaker cable, never an instrument lead" in looked.html
    assert 'class="drawing path"' in looked.html
    sent = looked.send()
    assert sent.status == 302
    assert Revision.objects.count() == before + 1
    assert ends() == [
        ("guitar", "wireless", "", ""),
        ("wireless", "switcher", "", ""),
        ("switcher", "comp", "send 1", ""),
        ("comp", "switcher", "", "return 1"),
        ("switcher", "Head", "out", ""),
        ("Head", "cab", "", ""),
    ]
    made = {unit.name: unit.gear for unit in Unit.objects.all()}
    assert made == {
        "Head": "valve_head",
        "guitar": "guitar",
        "wireless": "wireless",
        "switcher": "switcher",
        "comp": "compressor",
        "cab": "cabinet",
    }
    assert Control.objects.filter(unit__name="comp", name="Threshold").exists()


def test_each_cable_has_the_level_plugs_and_length_of_its_sort(world: World, page: Page) -> None:
    looked = page.send(words=PATH, preview="page")
    looked.send(length__patch="45 cm", length__speaker="", plugs__lead="¼ in to ¼ in")
    cable = {f"{link}": link for link in Link.objects.select_related("source", "target")}
    assert cable["guitar → wireless"].carries == "radio"
    assert (cable["guitar → wireless"].cable, cable["guitar → wireless"].length_m) == ("", None)
    patch = cable["switcher → comp"]
    assert (patch.cable, patch.length_m, patch.length_unit) == (
        "patch lead",
        Decimal("0.45"),
        "cm",
    )
    lead = cable["switcher → Head"]
    assert (lead.connectors, lead.length_m) == ("¼ in to ¼ in", Decimal("6"))
    speaker = cable["Head → cab"]
    assert (speaker.carries, speaker.cable, speaker.length_m) == ("speaker", "speaker cable", None)


def test_a_new_unit_is_never_made_without_having_been_offered(world: World, page: Page) -> None:
    again = page.send(words="head > cab; fuzz > head")
    assert "Not in the rig yet: “cab”, “fuzz”." in again.html
    assert Unit.objects.count() == 1
    again.sent["gear-new-2"] = "pedal"
    assert again.send().status == 302
    assert dict(Unit.objects.values_list("name", "gear"))["fuzz"] == "pedal"


def test_a_word_added_after_the_offer_is_offered_first(world: World, page: Page) -> None:
    offered = page.send(words="head > cab")
    again = offered.send(words="wah > head > cab")
    assert "Not in the rig yet: “wah”." in again.html
    assert again.send().status == 302
    assert set(Unit.objects.values_list("name", flat=True)) == {"Head", "cab", "wah"}


def test_known_units_need_no_second_press(world: World, page: Page) -> None:
    world.record(Add(str(uuid4()), "unit", {"name": "Cabinet", "gear": "cabinet"}))
    assert page.send(words="he > cab").status == 302
    assert ends() == [("Head", "Cabinet", "", "")]


def test_a_cable_that_is_there_is_not_made_again(world: World, page: Page) -> None:
    page.send(words="head > cab").send()
    again = Page(page.client, page.url).send(words="head > cab")
    assert "All of these cables are in the rig already." in again.html
    looked = again.send(words="head > cab; head send > delay", preview="page")
    assert "in the rig already" in looked.html
    assert looked.send().status == 302
    assert ends() == [("Head", "cab", "", ""), ("Head", "delay", "send", "")]


def test_what_is_wrong_is_marked_at_its_word_and_kept(world: World, page: Page) -> None:
    again = page.send(words="head > <b> > head")
    assert "<mark>head</mark>" not in again.html
    again = page.send(words="send 9 > head; head > cab")
    assert "<mark>send 9</mark> &gt; head" in again.html
    assert "Say first which unit has “send 9”." in again.html
    assert again.sent["words"] == "send 9 > head; head > cab"
    assert not Link.objects.exists()


def test_a_length_that_is_none_is_said_at_its_field(world: World, page: Page) -> None:
    looked = page.send(words="head > cab", preview="page")
    again = looked.send(length__speaker="long")
    assert "length-speaker" in again.response.context["form"].errors
    assert not Link.objects.exists()


def test_the_piece_of_the_page_that_is_shown_while_one_types(world: World, page: Page) -> None:
    piece = page.client.post(page.url, {"words": "head > cab", "preview": "live"})
    assert piece.status_code == 200
    html = piece.content.decode()
    assert "<html" not in html
    assert "Head → cab" in html
    empty = page.client.post(page.url, {"words": "  ", "preview": "live"})
    assert empty.content.decode().strip() == ""


def test_somebody_elses_unit_of_that_name_meanwhile_is_not_made_twice(
    world: World, page: Page
) -> None:
    offered = page.send(words="head > cab")
    world.record(Add(str(uuid4()), "unit", {"name": "Cab", "gear": "cabinet"}))
    assert offered.send().status == 302
    assert ends() == [("Head", "Cab", "", "")]
    assert Unit.objects.count() == 2


def test_the_next_cable_comes_from_where_the_last_one_went(world: World) -> None:
    cab = uuid4()
    world.record(Add(str(cab), "unit", {"name": "Cabinet", "gear": "cabinet"}))
    page = Page(as_user(world.tech), at(world, "link_new"))
    sent = page.send(source=str(world.unit.pk), target=str(cab), another="1")
    assert sent.response.headers["Location"] == f"{page.url}?source={cab}"
    assert Page(page.client, sent.response.headers["Location"]).sent["source"] == str(cab)


def test_a_preview_takes_as_many_queries_whatever_is_typed(world: World, page: Page) -> None:
    def queries(words: str) -> int:
        with CaptureQueriesContext(connection) as made:
            assert (
                page.client.post(page.url, {"words": words, "preview": "page"}).status_code == 200
            )
        return len(made)

    few = queries("head > cab")
    assert queries(" > ".join(f"pedal {n}" for n in range(40))) == few


def test_the_drawing_shows_what_hangs_together_with_the_path(world: World, page: Page) -> None:
    world.record(Add(str(uuid4()), "unit", {"name": "Far away", "gear": "drum"}))
    looked = page.send(words="head > new cab", preview="page")
    shown = looked.response.context["form"].view
    assert [unit.name for unit in shown.units] == ["Head", "new cab"]
    assert [entry.name for entry in shown.inputs] == ["Bass mic"]
    assert [unit.traits.key for unit in shown.units] == ["valve_head", "cabinet"]


def test_a_reader_cannot_open_it(world: World) -> None:
    assert as_user(world.people["player"]).get(at(world, "links_path")).status_code == 403


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(words=st.one_of(st.text(max_size=80), st.text(alphabet='he>;:"\n send1ad', max_size=60)))
def test_no_text_is_an_error_of_the_server(world: World, page: Page, words: str) -> None:
    answer = page.client.post(
        page.url, {"words": words, "base": page.sent["base"], "preview": "page"}
    )
    assert answer.status_code == 200
    answer = page.client.post(page.url, {"words": words, "base": "99"})
    assert answer.status_code == 200


def test_the_path_of_a_rig_told_in_words_is_there_already(world: World, page: Page) -> None:
    page.send(words=PATH).send()
    units = {str(unit.pk): unit.name for unit in Unit.objects.all()}
    cables = [
        SaidCable(str(link.source_id), str(link.target_id), link.from_socket, link.to_socket)
        for link in in_order(Link.objects.all())
    ]
    again = Page(page.client, page.url).send(words=path_text(cables, units))
    assert "All of these cables are in the rig already." in again.html
    assert len(again.response.context["form"].plan.cables) == len(cables)
