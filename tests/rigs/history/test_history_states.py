"""One state of the past, two compared, and going back."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from rigs.changes.edits import Add, Retire, Set
from rigs.models import Input, Revision
from rigs.revisions.read import as_of, live
from tests.support.world import HIRE, World


def address(world: World, name: str, *args: int, query: str = "") -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk, *args]) + query


def text_of(client: Client, url: str) -> str:
    response = client.get(url)
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def changed(world: World) -> World:
    """Three changes: a knob, a microphone, the input gone."""
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    return world


def test_a_state_is_shown_whole_with_what_the_change_did(client: Client, changed: World) -> None:
    client.force_login(changed.people["crew"])
    text = text_of(client, address(changed, "revision", 2))
    assert "Bass main after change 2" in text
    assert "was 2:30" in text
    assert "Corvane Hollow 2" in text
    assert "Signal path" in text
    assert "Warm, woody, no clank." in text


def test_what_is_gone_today_is_still_there_then(client: Client, changed: World) -> None:
    client.force_login(changed.tech)
    assert "7 Bass mic" in text_of(client, address(changed, "revision", 3))
    assert '<h2 id="inputs-title">' not in text_of(client, address(changed, "revision", 4))


def test_the_first_state_marks_nothing_as_changed(client: Client, world: World) -> None:
    client.force_login(world.tech)
    text = text_of(client, address(world, "revision", 1))
    assert "dial-changed" not in text
    assert "new in this change" not in text


@pytest.mark.parametrize("number", [0, 5, 999999])
@pytest.mark.parametrize("name", ["revision", "restore"])
def test_a_number_that_never_was_is_not_found(
    client: Client, changed: World, name: str, number: int
) -> None:
    client.force_login(changed.tech)
    assert client.get(address(changed, name, number)).status_code == 404


def test_only_who_may_edit_is_offered_to_bring_a_state_back(client: Client, changed: World) -> None:
    restore = address(changed, "restore", 2)
    client.force_login(changed.people["crew"])
    assert restore not in text_of(client, address(changed, "revision", 2))
    assert client.get(restore).status_code == 403
    client.force_login(changed.tech)
    assert restore in text_of(client, address(changed, "revision", 2))


def test_two_states_are_compared_in_plain_words(client: Client, changed: World) -> None:
    client.force_login(changed.people["player"])
    response = client.get(address(changed, "compare", query="?a=1&b=3"))
    lines = [line.sentence for group in response.context["groups"] for line in group.lines]
    assert lines == [
        "Head, Gain: 2:30 → 3:00",
        "7 Bass mic, Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4",
    ]
    assert "dial-ghost" in response.content.decode()


def test_comparing_backwards_turns_old_and_new_round(client: Client, changed: World) -> None:
    client.force_login(changed.tech)
    response = client.get(address(changed, "compare", query="?a=2&b=1"))
    (group,) = response.context["groups"]
    assert group.lines[0].sentence == "Head, Gain: 3:00 → 2:30"


def test_without_numbers_the_last_change_is_compared(client: Client, changed: World) -> None:
    client.force_login(changed.tech)
    response = client.get(address(changed, "compare"))
    assert (response.context["a"], response.context["b"]) == (3, 4)


def test_equal_states_say_so(client: Client, changed: World) -> None:
    client.force_login(changed.tech)
    assert "No difference" in text_of(client, address(changed, "compare", query="?a=2&b=2"))


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("?a=1&b=9", "There is no change 9 yet."),
        ("?a=0&b=1", "Ensure this value is greater than or equal to 1."),
        ("?a=one&b=1", "Write the number of a change."),
        ("?a=1", "This field is required."),
    ],
)
def test_numbers_that_cannot_be_are_said_at_their_field(
    client: Client, changed: World, query: str, said: str
) -> None:
    client.force_login(changed.tech)
    assert said in text_of(client, address(changed, "compare", query=query))


def test_going_back_shows_what_would_change_first(client: Client, changed: World) -> None:
    client.force_login(changed.tech)
    response = client.get(address(changed, "restore", 1))
    lines = [line.sentence for group in response.context["groups"] for line in group.lines]
    assert lines[0] == "Head, Gain: 3:00 → 2:30"
    assert lines[1].startswith("7 Bass mic was added: Corvane Hollow 2, cone edge")
    assert Revision.objects.count() == 4


def test_going_back_makes_a_new_change_of_the_exact_state(client: Client, changed: World) -> None:
    client.force_login(changed.engineer)
    response = client.post(address(changed, "restore", 1), {"seen": 4}, follow=True)
    changed.rig.refresh_from_db()
    assert live(changed.rig) == as_of(changed.rig, 1)
    assert (changed.rig.head_number, Revision.objects.latest("number").restored) == (5, 1)
    said = "“Bass main” is as it was after change 1 again. That is change 5."
    assert said in response.content.decode()


def test_a_microphone_goes_back_only_with_a_reason(client: Client, world: World) -> None:
    world.swap(world.other_mic, HIRE)
    client.force_login(world.tech)
    url = address(world, "restore", 1)
    response = client.post(url, {"seen": 2, "reason_words": "It is back from repair."})
    assert response.status_code == 200
    (error,) = response.context["form"].errors["reason_kind"]
    assert error.startswith("Changing a documented microphone, DI or its placement needs a reason")
    assert "It is back from repair." in response.content.decode()
    assert Input.objects.get().device == world.other_mic
    typed = {"seen": 2, "reason_kind": "hire", "reason_words": "It is back from repair."}
    assert client.post(url, typed).status_code == 302
    assert Input.objects.get().device == world.mic
    assert Revision.objects.latest("number").reason_words == "It is back from repair."


def test_a_reason_without_words_is_asked_for_them(client: Client, world: World) -> None:
    world.swap(world.other_mic, HIRE)
    client.force_login(world.tech)
    response = client.post(address(world, "restore", 1), {"seen": 2, "reason_kind": "room"})
    assert response.context["form"].errors["reason_words"] == [
        "Say in a few words what happened (the room)."
    ]


def test_what_changed_while_one_was_asked_is_shown_before_going_back(
    client: Client, world: World
) -> None:
    world.turn("3:00")
    world.record(Set(str(world.unit.pk), "unit", {"tuning": "B E A D"}), author=world.engineer)
    client.force_login(world.tech)
    url = address(world, "restore", 1)
    response = client.post(url, {"seen": 2, "reason_words": "Gain was right."})
    text = response.content.decode()
    assert "Someone else changed this rig meanwhile." in text
    assert "Gain was right." in text
    assert "B E A D" in text
    assert Revision.objects.count() == 3
    again = response.context["form"]["seen"].value()
    assert client.post(url, {"seen": again}).status_code == 302
    assert Revision.objects.count() == 4


def test_a_state_that_holds_already_says_so(client: Client, world: World) -> None:
    client.force_login(world.tech)
    assert "Nothing to restore" in text_of(client, address(world, "restore", 1))
    client.post(address(world, "restore", 1), {"seen": 1})
    assert Revision.objects.count() == 1


def test_outsiders_find_nothing(client: Client, changed: World) -> None:
    client.force_login(changed.outsider)
    for name, args in (("revision", [1]), ("compare", []), ("restore", [1])):
        assert client.get(address(changed, name, *args)).status_code == 404


@pytest.mark.parametrize("name", ["revision", "compare", "restore"])
def test_the_pages_need_as_many_queries_after_1000_changes_as_after_10(
    client: Client, world: World, name: str
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def count(number: int) -> int:
        args = [number] if name != "compare" else []
        query = f"?a=2&b={number}" if name == "compare" else ""
        with CaptureQueriesContext(connection) as caught:
            assert client.get(address(world, name, *args, query=query)).status_code == 200
        return len(caught)

    client.force_login(world.tech)
    for turn in range(9):
        world.turn(f"{turn % 4 + 1}:00")
    few = count(9)
    for turn in range(991):
        world.turn(f"{turn % 3 + 1}:30")
    assert count(999) == few


def test_a_photo_of_then_is_shown_though_put_away_since(client: Client, world: World) -> None:
    from uuid import uuid4

    from rigs.photos.prepare import Prepared
    from rigs.photos.storage import store

    stored = store(Prepared(b"x", b"y", 4, 3), production=world.production, taken_by=world.tech)
    photo = str(uuid4())
    about: dict[str, Any] = {"image": str(stored.pk), "about": str(world.unit.pk)}
    world.record(Add(photo, "photo", about))
    world.record(Retire(photo, "photo"))
    client.force_login(world.people["crew"])
    url = reverse("rigs:photo_file", args=[world.production.pk, world.rig.pk, photo])
    assert url in text_of(client, address(world, "revision", 2))
    assert url not in text_of(client, address(world, "revision", 3))
    assert client.get(url).status_code == 200
