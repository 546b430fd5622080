"""What changed from one to the next, and since: by player, the largest first, with reasons."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest

from core import clock
from core.models import Player
from notes.handover import state
from notes.handover.said import since as since_told
from notes.journal.services import settle
from notes.models import PublishedHandover, Trial
from notes.signing.services import sign
from rigs.changes.edits import Add, Set
from rigs.revisions.record import record
from tests.notes.handover.published_support import note, page, published, words
from tests.notes.handover.support import legs
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World, input_fields, make_rig


def since(world: World, made: PublishedHandover) -> Any:
    assert as_user(world.people["crew"]).get(made.get_absolute_url()).status_code == 200
    return since_told(made)


def test_nothing_new_says_so(world: World) -> None:
    made = published(world, legs(world)[0])
    assert since(world, made) == {"general": [], "sections": []}
    assert "Nothing has changed." in page(world, made)


def test_since_is_by_player_the_largest_first_with_the_reason(world: World) -> None:
    made = published(world, legs(world)[0])
    world.turn("3:00")
    world.record(Set(str(world.input.pk), "input", {"gain_db": "20"}))
    swapped = {"device": str(world.other_mic.pk), "gain_db": "20"}  # the gain is left as it was
    world.record(Set(str(world.input.pk), "input", swapped), reason=HIRE)
    (section,) = since(world, made)["sections"]
    assert section["player"]["name"] == "Ines Halloran"
    lines = [
        (each["name"], line["label"], line["old"], line["new"])
        for each in section["changes"]
        for line in each["lines"]
    ]
    assert lines == [
        ("7 Bass mic", "Microphone or DI", "Corvane Hollow 2", "Corvane Eskvane 4"),
        ("7 Bass mic", "Preamp gain", "", "20 dB"),
        ("Head", "Gain", "2:30", "3:00"),
    ]
    why = section["changes"][0]["why"][0]
    assert (why["reason"], why["words"]) == ("hired in place of ours", "Ours is in repair.")
    shown = page(world, made)
    assert shown.index("Corvane Eskvane 4") < shown.index("3:00")
    assert "because of hired in place of ours. Ours is in repair." in shown


def test_since_tells_signatures_notes_trials_players_and_words(world: World) -> None:
    autumn, _ = legs(world)
    words(autumn)
    old = note(world, "Woolly.")
    trial = Trial.objects.create(
        production=world.production,
        rig=world.rig,
        input=world.input,
        question="Less boom?",
        opened_by=world.engineer,
    )
    made = published(world, autumn)
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    settle(note=old, words="It was the room.", by=world.engineer)
    note(world, "Too boomy.")
    trial.decided_at = clock.now()
    trial.save()
    Player.objects.create(production=world.production, name="Otis Verrall", instrument="drums")
    words(autumn, "Listen first.")
    found = since(world, made)
    ((general),) = found["general"]
    assert (general["old"], general["new"]) == ("Walk the room.", "Listen first.")
    news = {each["player"]["name"]: each for each in found["sections"]}
    assert news["Otis Verrall"]["news"] == ["Otis Verrall is new in it."]
    ines = news["Ines Halloran"]
    assert [each["decision"] for each in ines["signed"]] == ["signed"]
    assert [each["words"] for each in ines["notes"]] == ["Too boomy."]
    assert [each["words"] for each in ines["settled"]] == ["Woolly."]
    assert [each["question"] for each in ines["decided"]] == ["Less boom?"]


def test_the_next_one_keeps_what_changed_between_them(world: World) -> None:
    autumn, winter = legs(world)
    first = published(world, autumn)
    world.swap(world.other_mic, HIRE)
    second = published(world, winter)
    world.turn("5:00")
    world.player.retire()
    url = at(world, "notes:published_compare", second.pk)
    html = as_user(world.people["crew"]).get(url).content.decode()
    main = html.split("<main")[1]
    assert "From Handover 1 to Handover 2" in main
    assert "Corvane Eskvane 4" in main
    assert "Ours is in repair." in main
    assert "5:00" not in main
    assert "no longer in it" not in main
    url = at(world, "notes:published_compare", first.pk)
    assert "Handover 1 is the first" in as_user(world.tech).get(url).content.decode()


def test_what_was_turned_and_turned_back_is_no_change(world: World) -> None:
    made = published(world, legs(world)[0])
    world.turn("3:00")
    world.turn("2:30")
    assert since(world, made)["sections"] == []


def test_changes_of_two_rigs_of_one_player_are_in_one_order(world: World) -> None:
    unit, entry = str(uuid4()), str(uuid4())
    spare = make_rig(
        world.production,
        world.player,
        world.tech,
        "Spare rig",
        (
            Add(unit, "unit", {"name": "Amp", "gear": "valve_head"}),
            Add(entry, "input", input_fields(UUID(unit), world.mic.pk)),
        ),
    )
    made = published(world, legs(world)[1])
    world.turn("3:00")
    swap = Set(entry, "input", {"device": str(world.other_mic.pk)})
    record(spare, [swap], author=world.tech, base=1, reason=HIRE)
    (section,) = since(world, made)["sections"]
    assert [each["rig"]["name"] for each in section["changes"]] == ["Spare rig", "Bass main"]


def test_a_new_leg_starts_from_the_last_words(world: World) -> None:
    autumn, winter = legs(world)
    words(autumn)
    published(world, autumn)
    url = at(world, "notes:handover_edit", winter.pk)
    response = as_user(world.tech).get(url)
    form = response.context["form"]
    assert [form[name].value() for name in ("opening", "cautions", "people")] == [
        "Walk the room.",
        "Loose step.",
        "Ada, FOH.",
    ]
    assert "The fields start from Handover 1" in response.content.decode()
    words(winter, "New words.")
    response = as_user(world.tech).get(url)
    assert response.context["form"]["opening"].value() == "New words."
    assert "The fields start from" not in response.content.decode()


def test_of_very_many_open_notes_the_newest_are_told_and_none_passes_for_settled(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(state, "OPEN_NOTES", 2)
    note(world, "Woolly.")
    middle = note(world, "Thin.")
    made = published(world, legs(world)[0])
    assert "Older notes are open, too." not in page(world, made)
    newest = note(world, "Loud.")
    (section,) = since(world, made)["sections"]
    # The oldest is left out now, for it is open still.
    assert [each["id"] for each in section["notes"]] == [str(newest.pk)]
    assert section["settled"] == []
    again = published(world, legs(world)[1])
    told = page(world, again)
    assert "Older notes are open, too." in told
    assert "Thin." in told
    assert "Woolly." not in told
    settle(note=middle, words="It was the room.", by=world.people["player"])
    (section,) = since(world, again)["sections"]
    assert [each["id"] for each in section["settled"]] == [str(middle.pk)]
    # What comes back into sight is not new.
    assert section["notes"] == []
