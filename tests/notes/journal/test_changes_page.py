"""The change log: what it shows by itself, what narrows it, in how many queries."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from core import clock
from core.models import Player
from notes.journal.change_views import CHANGES_A_PAGE
from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Revision
from tests.support.listening import change_for, hear, hear_after, open_a_trial, turn_for
from tests.support.world import HIRE, World, make_device, make_rig, make_world


def page(client: Client, world: World, query: str = "", who: str = "crew") -> Any:
    client.force_login(world.people[who])
    return client.get(reverse("notes:changes", args=[world.production.pk]) + query)


def numbers(response: Any) -> list[int]:
    return [each.number for each in revisions(response)]


def revisions(response: Any) -> list[Revision]:
    keys = response.context["page"]["keys"]
    found = Revision.objects.in_bulk(keys)
    return [found[key] for key in keys]


def test_it_shows_note_change_and_outcome_as_one_thread(client: Client, world: World) -> None:
    note = hear(world, "I vanish in the bridge.")
    hear_after(world, change_for(world, note), "helped", words="There it is.")
    text = page(client, world).content.decode()
    places = [
        text.index(words)
        for words in ("I vanish in the bridge.", "<ins>Corvane Eskvane 4</ins>", "There it is.")
    ]
    assert places == sorted(places)


def test_by_itself_it_shows_inputs_and_reasoned_changes_only(client: Client, world: World) -> None:
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    turn_for(world, "1:00", hear(world))
    world.record(Set(str(world.input.pk), "input", {"gain_db": "30"}))
    assert numbers(page(client, world)) == [4, 3, 1]
    assert numbers(page(client, world, "?everything=on")) == [5, 4, 3, 2, 1]


def test_the_switch_keeps_the_other_filters(client: Client, world: World) -> None:
    newest = world.rig.revisions.get()
    narrowed = page(client, world, f"?rig={world.rig.pk}&before={newest.pk}")
    assert narrowed.context["switch_url"] == f"?rig={world.rig.pk}&everything=on"
    everything = page(client, world, narrowed.context["switch_url"])
    assert everything.context["switch_url"] == f"?rig={world.rig.pk}"
    assert "Only inputs and reasons" in everything.content.decode()


def test_it_is_not_narrowed_by_itself(client: Client, world: World) -> None:
    assert ">Filter</summary>" in page(client, world).content.decode()
    assert ">Filtered</summary>" in page(client, world, f"?rig={world.rig.pk}").content.decode()


def test_a_stated_circumstance_is_told_in_its_words(client: Client, world: World) -> None:
    world.swap(world.other_mic, HIRE)
    assert "Hired in place of ours: Ours is in repair." in page(client, world).content.decode()


def test_a_reasoned_change_without_outcome_asks_for_it(client: Client, world: World) -> None:
    note = hear(world)
    change_for(world, note)
    ask = reverse("notes:note_follow", args=[world.production.pk, note.pk, 2])
    assert ask in page(client, world, who="player").content.decode()
    assert ask not in page(client, world).content.decode()


def test_it_narrows_by_rig_and_player(client: Client, world: World) -> None:
    drummer = Player.objects.create(production=world.production, name="Odd", instrument="drums")
    kit = make_rig(world.production, drummer, world.tech, "Kit")
    assert numbers(page(client, world, f"?rig={world.rig.pk}")) == [1]
    assert numbers(page(client, world, f"?player={drummer.pk}")) == []
    found = page(client, world, f"?player={drummer.pk}&everything=on")
    assert [each.rig for each in revisions(found)] == [kit]


def test_it_narrows_by_input_and_device(client: Client, world: World) -> None:
    third = make_device(world.production, "Selvage")
    change_for(world, hear(world))
    turn_for(world, "1:00", hear(world))
    change_for(world, hear(world), device=third)
    assert numbers(page(client, world, f"?input={world.input.pk}")) == [4, 2, 1]
    assert numbers(page(client, world, f"?device={world.other_mic.pk}")) == [4, 2]
    assert numbers(page(client, world, f"?device={world.mic.pk}")) == [2, 1]
    assert numbers(page(client, world, f"?device={third.pk}")) == [4]


def test_it_narrows_by_author_and_reason(client: Client, world: World) -> None:
    world.swap(world.other_mic, HIRE, author=world.engineer)
    world.swap(world.mic, Reason(ReasonKind.ROOM, "The gallery rings."))
    assert numbers(page(client, world, f"?author={world.engineer.pk}")) == [2]
    assert numbers(page(client, world, "?reason=room")) == [3]
    assert numbers(page(client, world, "?reason=none")) == [1]


def test_it_narrows_by_whole_days(client: Client, world: World) -> None:
    late = datetime(2026, 9, 3, 23, 59, tzinfo=UTC)
    with clock.set_to(late):
        world.swap(world.other_mic, HIRE)
    with clock.set_to(late + timedelta(minutes=2)):
        world.swap(world.mic, HIRE)
    assert numbers(page(client, world, "?since=2026-09-03&until=2026-09-03")) == [2]
    assert numbers(page(client, world, "?since=2026-09-04&until=2026-09-04")) == [3]


def test_filters_that_cannot_be_are_named(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    found = page(client, world, f"?rig={other.rig.pk}&since=soon")
    assert set(found.context["filters"].errors) == {"rig", "since"}


def test_another_productions_changes_are_not_there(client: Client, world: World) -> None:
    make_world("Elsewhere")
    assert numbers(page(client, world)) == [1]


def test_a_trial_that_decided_is_named(client: Client, world: World) -> None:
    from notes.trials.decide import choose
    from tests.support.listening import heard_alternative

    trial = open_a_trial(world, question="Less boom?")
    chosen = heard_alternative(world, trial, world.other_mic)
    choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    text = page(client, world).content.decode()
    assert "Decided by a trial" in text
    assert trial.get_absolute_url() in text


def test_hostile_words_are_shown_as_words(client: Client, world: World) -> None:
    evil = "<img src=x onerror=alert(1)>"
    note = hear(world, evil)
    revision = world.swap(world.other_mic, Reason(ReasonKind.NOTES, evil, (note.pk,)))
    assert revision is not None
    world.record(Set(str(world.unit.pk), "unit", {"name": evil}), reason=HIRE)
    text = page(client, world).content.decode()
    assert evil not in text
    assert text.count("&lt;img src=x onerror=alert(1)&gt;") >= 3


def test_long_changes_are_cut_with_the_way_to_the_rest(client: Client, world: World) -> None:
    evil = {"gain_db": "30", "pad_db": "-20", "pan": 3, "stand": "boom", "notes": "x"}
    more = {"high_pass_hz": "40", "low_pass_hz": "9000", "phantom": True, "angle_deg": "10"}
    last = {"aimed_at": "cap", "height_m": "0.3", "offset_m": "0.1", "stage_position": "A4"}
    world.record(Set(str(world.input.pk), "input", evil | more | last), reason=HIRE)
    newest = page(client, world).content.decode().split('<ol class="thread">')[1]
    assert newest.count("<dt>") == 12
    assert "and 1 more" in newest


def test_a_long_log_is_turned_over(client: Client, world: World) -> None:
    for turn in range(CHANGES_A_PAGE + 2):
        world.turn(f"{turn % 4 + 1}:00", reason=HIRE)
    first = page(client, world)
    newest = CHANGES_A_PAGE + 3
    assert numbers(first) == list(range(newest, newest - CHANGES_A_PAGE, -1))
    second = page(client, world, first.context["page"]["older_url"])
    assert numbers(second) == [3, 2, 1]
    again = page(client, world, second.context["page"]["newer_url"])
    assert numbers(again) == numbers(first)


def test_a_note_that_is_folded_is_there_whole(client: Client, world: World) -> None:
    note = hear(world, "It clicks.", reading="Too near the beater line.")
    change_for(world, note)
    text = page(client, world).content.decode()
    folded = text[text.index('<details class="disclosure note-rest">') :]
    assert "It clicks." in text.split('<details class="disclosure note-rest">')[0]
    assert "Too near the beater line." in folded.split("</details>")[0]


@pytest.mark.parametrize("count", [1, 10, 100])
def test_queries_do_not_grow_with_the_changes(
    client: Client, world: World, count: int, django_assert_max_num_queries: Any
) -> None:
    """A page that mentions fewer kinds of parts asks for fewer names."""
    for at in range(count):
        note = hear(world)
        hear_after(world, turn_for(world, f"{9 + at % 3}:30", note), "same")
    client.force_login(world.engineer)
    url = reverse("notes:changes", args=[world.production.pk])
    client.get(url)  # who comes first looks for the newest, and keeps what they say
    with override_settings(KEPT_CHECKED=False), django_assert_max_num_queries(8):
        client.get(url)


def test_which_are_the_newest_is_kept_until_there_is_another(client: Client, world: World) -> None:
    world.turn("1:30", reason=HIRE)
    with override_settings(KEPT_CHECKED=False):
        for setting in ("2:00", "3:00"):
            before = numbers(page(client, world))
            assert numbers(page(client, world)) == before
            world.turn(setting, reason=HIRE)
            newest = before[0] + 1
            assert numbers(page(client, world)) == [newest, *before]
