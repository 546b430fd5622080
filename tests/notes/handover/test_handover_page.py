"""A leg's handover: what stands in it, for whom, and what it costs."""

from __future__ import annotations

import re
from html import unescape
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from core import clock
from core.kept.shelf import Shelf
from core.models import Leg
from core.models.roles import Role
from notes.handover.content import same
from notes.handover.in_words import changes_in_words
from notes.handover.publish import publish, read
from notes.handover.said import copy_content
from notes.models import Alternative, Handover, Note, Question, Trial
from notes.signing.services import sign
from rigs.cautions import HEARING, LIFTING, OVERHEAD, RIBBON
from rigs.changes.edits import Add, Set
from tests.notes.handover.published_support import frozen
from tests.notes.handover.published_support import page as page_of
from tests.notes.handover.support import AUTUMN, BEFORE, legs, more_players, turn_at
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World, make_device, make_world


def _get(world: World, leg: Leg, who: str = "crew") -> Any:
    return as_user(world.people[who]).get(at(world, "notes:handover", leg.pk))


def _content(world: World, leg: Leg) -> dict[str, Any]:
    assert _get(world, leg).status_code == 200
    return copy_content(Shelf(world.production.pk), leg)


def _rig(world: World, leg: Leg) -> dict[str, Any]:
    """The only rig of the only player, as the working copy has it."""
    (section,) = _content(world, leg)["sections"]
    (rig,) = section["rigs"]
    assert isinstance(rig, dict)
    return rig


def _text(world: World, leg: Leg, who: str = "crew", query: str = "?long") -> str:
    url = f"{at(world, 'notes:handover', leg.pk)}{query}"
    return as_user(world.people[who]).get(url).content.decode()


def test_it_says_from_when_changes_are_counted(world: World) -> None:
    autumn, winter = legs(world)
    assert "This is the first leg" in _text(world, autumn)
    assert "since “Autumn” began on 1 September 2026" in _text(world, winter)


def test_it_shows_the_signed_words_and_where_each_party_stands(world: World) -> None:
    _, winter = legs(world)
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    turn_at(world, AUTUMN, "3:00")
    states = [party["state"] for party in _rig(world, winter)["parties"]]
    assert states == ["changed", "not_asked", "not_asked"]
    assert "Warm, woody, no clank." in _text(world, winter)


def test_changes_since_the_previous_leg_are_told_largest_first(world: World) -> None:
    _, winter = legs(world)
    turn_at(world, BEFORE, "1:00")
    turn_at(world, AUTUMN, "3:00")
    with clock.set_to(AUTUMN):
        world.swap(world.other_mic, HIRE)
    told = changes_in_words(_rig(world, winter)["changes"]["told"], short=False)
    assert [(t["name"], t["lines"][0]["old"], t["lines"][0]["new"]) for t in told] == [
        ("7 Bass mic", "Corvane Hollow 2", "Corvane Eskvane 4"),
        ("Head", "1:00", "3:00"),
    ]
    assert "because of hired in place of ours. Ours is in repair." in _text(world, winter)


def test_a_length_that_changed_is_a_quantity_until_it_is_read(world: World) -> None:
    """Two inches are 50.8 mm (NIST SP 811, appendix B.8)."""
    _, winter = legs(world)
    turn_at(world, BEFORE, "1:00")
    edit = {"distance_m": "0.0508", "distance_unit": "in"}
    with clock.set_to(AUTUMN):
        world.record(Set(str(world.input.pk), "input", edit), reason=HIRE)
    told = _rig(world, winter)["changes"]["told"]
    (line,) = told[0]["lines"]
    assert line["new"] == {"length": {"m": "0.0508", "unit": "in"}}
    assert "text" not in line
    for short, old, new in ((False, "35 mm (1.4 in)", "2 in (51 mm)"), (True, "35 mm", "2 in")):
        (said,) = changes_in_words(told, short)[0]["lines"]
        assert (said["old"], said["new"]) == (old, new)
        assert said["text"] == f"Distance: {old} → {new}"
    with translation.override("de"):
        (why,) = changes_in_words(told, short=False)[0]["why"]
    assert why["reason"] == "gemietet statt unserem"


def test_what_was_rejected_stands_there_with_because(world: World) -> None:
    _, winter = legs(world)
    trial = Trial.objects.create(
        production=world.production,
        rig=world.rig,
        input=world.input,
        question="Less boom?",
        opened_by=world.engineer,
    )
    for verdict, words in (("rejected", "All room."), ("possible", "Not bad.")):
        Alternative.objects.create(
            trial=trial, device=world.other_mic, verdict=verdict, words=words
        )
    text = _text(world, winter)
    assert "Rejected, because: “All room.”" in text
    assert "Not bad." not in text
    assert "on trial: Less boom?" in text


def test_open_notes_stand_there_and_settled_ones_do_not(world: World) -> None:
    _, winter = legs(world)
    for words, verdict in (("Too boomy.", "adjust"), ("Lovely.", "keep")):
        Note.objects.create(
            production=world.production,
            rig=world.rig,
            words=words,
            verdict=verdict,
            said_by_player=world.player,
            written_by=world.engineer,
        )
    text = _text(world, winter)
    assert "Too boomy." in text
    assert "Lovely." not in text


def test_cautions_are_those_of_the_gear_and_those_written_down(world: World) -> None:
    _, winter = legs(world)
    Handover.objects.create(leg=winter, cautions="Loose step.\n\nNo earth lifts.")
    (caution,) = _rig(world, winter)["cautions"]
    assert caution["about"] == "Head"
    assert caution["text"].startswith("Valve amplifiers hold dangerous voltages")
    assert _content(world, winter)["general"]["cautions"] == ["Loose step.", "No earth lifts."]


def test_the_working_copy_shows_all_cautions_of_a_rig(world: World) -> None:
    """Hearing, lifting, ribbon and overhead besides the valves: the titles of rigs.cautions."""
    _, winter = legs(world)
    ribbon = make_device(world.production, "Tape", principle="ribbon", pattern="figure_8")
    world.swap(ribbon, HIRE)
    unit = {"unit": str(world.unit.pk)}
    world.record(
        Add(str(uuid4()), "fact", {**unit, "key": "weight", "value": "34"}),
        Add(str(uuid4()), "fact", {**unit, "key": "spl_at_mic", "value": "116"}),
        Set(str(world.input.pk), "input", {"name": "Overhead left"}),
    )
    text = unescape(_text(world, winter))
    for caution in (LIFTING, HEARING, RIBBON, OVERHEAD):
        assert caution.text in text, caution.title
    assert "Valve amplifiers hold dangerous voltages" in text


def test_inputs_are_listed_with_device_and_place(world: World) -> None:
    _, winter = legs(world)
    text = _text(world, winter)
    assert "Corvane Hollow 2" in text
    assert "cone edge, 35 mm (1.4 in) from grille, 20° off axis" in text


def test_retired_rigs_and_players_are_left_out(world: World) -> None:
    _, winter = legs(world)
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    assert _content(world, winter)["sections"][0]["rigs"] == []
    world.player.retire()
    assert _content(world, winter)["sections"] == []


def test_unanswered_questions_are_on_top_for_those_who_may_answer(world: World) -> None:
    _, winter = legs(world)
    handover = Handover.objects.create(leg=winter)
    Question.objects.create(handover=handover, words="Which fuse?", asked_by=world.people["crew"])
    for role in Role.values:
        text = _text(world, winter, role)
        assert ("1 question without an answer" in text) is (role in ("engineer", "tech", "player"))
        assert "Which fuse?</p>" in text


@pytest.mark.parametrize("who", Role.values)
def test_every_member_reads_it(world: World, who: str) -> None:
    assert _get(world, legs(world)[0], who).status_code == 200


def test_outsiders_and_foreign_legs_are_not_found(world: World) -> None:
    autumn, _ = legs(world)
    url = at(world, "notes:handover", autumn.pk)
    assert as_user(world.outsider).get(url).status_code == 404
    foreign, _ = legs(make_world("Elsewhere"))
    client = as_user(world.people["crew"])
    assert client.get(at(world, "notes:handover", foreign.pk)).status_code == 404
    assert client.get(at(world, "notes:handover", uuid4())).status_code == 404


def test_hostile_text_is_shown_as_text(world: World) -> None:
    bad = "<script>alert(1)</script>"
    autumn, _ = legs(world)
    handover = Handover.objects.create(leg=autumn, opening=bad, cautions=bad, people=bad)
    Question.objects.create(handover=handover, words=bad, asked_by=world.people["crew"])
    world.record(
        Set(str(world.rig.pk), "rig", {"name": bad, "sound": bad}),
        Set(str(world.input.pk), "input", {"name": bad, "aimed_at": bad}),
        reason=HIRE,
    )
    world.player.name = bad
    world.player.save()
    text = _text(world, autumn, "engineer")
    assert "<script>alert" not in text
    assert text.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 9


def _queries(world: World, leg: Leg) -> int:
    client, url = as_user(world.engineer), at(world, "notes:handover", leg.pk)
    with CaptureQueriesContext(connection) as found:
        assert client.get(url).status_code == 200
    return len(found)


def test_what_the_checks_found_stands_with_the_rig(world: World) -> None:
    """A condenser left without phantom power knowingly, which a check knows."""
    _, winter = legs(world)
    condenser = make_device(world.production, "Selvage", principle="condenser", phantom=True)
    decided = {"device": str(condenser.pk), "phantom": False}
    world.record(Set(str(world.input.pk), "input", decided), reason=HIRE)
    page = as_user(world.engineer).get(at(world, "notes:handover", winter.pk)).content.decode()
    assert "What the checks found" in page
    assert "phantom" in page.split("What the checks found")[1].split("</ul>")[0]


def test_it_says_what_would_be_published_now(world: World) -> None:
    """By the same templates: but for number, author and time, the published page is the copy's."""
    _, winter = legs(world)
    Handover.objects.create(leg=winter, opening="Walk the room.", cautions="Loose step.")
    world.turn("3:00")
    copy = frozen(_text(world, winter))
    content = _content(world, winter)
    made = publish(leg=winter, by=world.engineer)
    assert same(content, read(made))
    published = frozen(page_of(world, made, query="?long"))
    links = re.compile(r'href="[^"]*"|, (?:at )?change \d+')  # to the rig now, to the rig as it was
    assert [links.sub("", part) for part in copy] == [links.sub("", part) for part in published]
    assert len(copy) == 2


def test_nine_players_cost_the_queries_of_one(world: World) -> None:
    _, winter = legs(world)
    world.swap(world.other_mic, HIRE)
    world.turn("3:00")
    one = _queries(world, winter)
    more_players(world, 8)
    assert _queries(world, winter) == one
    # Of whoever comes first; kept, it is a third of them (test_kept_pages).
    assert one <= 70


def test_a_thousand_revisions_cost_the_queries_of_ten(world: World) -> None:
    _, winter = legs(world)
    few_rigs = more_players(world, 1, revisions=10)
    few = _queries(world, winter)
    (rig,) = more_players(world, 1, revisions=1000)
    assert (few_rigs[0].revisions.count(), rig.revisions.count()) == (12, 1002)
    assert _queries(world, winter) == few
