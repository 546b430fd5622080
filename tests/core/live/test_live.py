"""A real ASGI server in a process of its own: two people look at one rig and see each other."""

from __future__ import annotations

import asyncio
import contextlib
import http.client
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from core import clock
from core.live import presence
from core.live.stream import ASK_AGAIN_MS, LIFE_S, RETRY_MS, Watch, events
from core.models import Presence
from tests.support.live_place import LEAVE, LOG_OUT, Place, Reader, wait_for
from tests.support.loaded import ROOT
from tests.support.own_process import own_database
from tests.support.patience import PATIENCE_S
from tests.support.running import free_port
from tests.support.world import World

# Well before the next beat, so that it was the change that woke the stream. The two seconds
# promised are measured by tests/bench/live.py: here other tests keep the machine busy.
WITHIN_S = presence.BEAT_S * 2 / 3


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None) -> Iterator[Place]:
    with own_database(tmp_path_factory.mktemp("live")) as environment:
        found = Place(environment)
        yield found
        found.stop()


def until(reader: Reader, name: str, *, there: bool, within: float = 20.0) -> None:
    """Until the page is told that `name` is there, or is not; others may come and go meanwhile."""
    end = time.monotonic() + within
    while (name in reader.next("people", end - time.monotonic())["names"]) is not there:
        pass


def test_two_people_see_each_other_come_and_go(place: Place) -> None:
    first = place.look("engineer")
    assert first.answer.getheader("Content-Type") == "text/event-stream; charset=utf-8"
    assert first.answer.getheader("Content-Encoding") is None
    # Told at once who is there, even if nobody is, so that nothing stale stays on the page.
    assert place.known["names"]["engineer"] not in first.next("people")["names"]
    second = place.look("manager")
    until(second, place.known["names"]["engineer"], there=True)
    until(first, place.known["names"]["manager"], there=True)
    second.close()
    # The server hears of a page that went at its next beat, or at once where the network says so.
    until(first, place.known["names"]["manager"], there=False, within=presence.BEAT_S + 20)
    first.close()


def test_a_change_made_in_another_process_is_told_before_the_next_beat(place: Place) -> None:
    reader = place.look("engineer")
    reader.next("people")
    for setting in ("3:30", "9:30"):  # no other test turns it there
        done = place.turn(setting)
        told = reader.next("change", WITHIN_S)
        while setting not in " ".join(told["words"]):  # what others turned before comes first
            told = reader.next("change", WITHIN_S)
        assert time.time() - done < WITHIN_S
        assert told["who"] == place.known["names"]["tech"]
    reader.close()


def test_whoever_returns_is_told_what_was_missed(place: Place) -> None:
    place.turn("10:00")
    reader = place.look("engineer", since=1)
    assert reader.next("change")["number"] == 2
    reader.close()


def test_an_outsider_gets_no_stream(place: Place) -> None:
    assert place.look("outsider").answer.status == 404


def test_a_lost_membership_ends_the_stream(place: Place) -> None:
    reader = place.look("crew")
    assert reader.next("people") is not None
    place.run(LEAVE.format(**place.known))
    end = time.monotonic() + 10
    while time.monotonic() < end and not reader.answer.isclosed():
        time.sleep(0.1)
    assert reader.answer.isclosed()


def test_a_log_out_ends_the_stream(place: Place) -> None:
    reader = place.look("player")
    assert reader.next("people") is not None
    key = place.known["player"].partition("=")[2]
    place.run(LOG_OUT.format(key=key))
    end = time.monotonic() + 10
    while time.monotonic() < end and not reader.answer.isclosed():
        time.sleep(0.1)
    assert reader.answer.isclosed()


def test_pages_and_files_come_from_the_same_server(place: Place) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", place.port, timeout=PATIENCE_S)
    path = f"/p/{place.known['production']}/rigs/{place.known['rig']}/"
    connection.request("GET", path, headers={"Cookie": place.known["engineer"]})
    answer = connection.getresponse()
    text = answer.read().decode()
    assert answer.status == 200
    assert f'data-live="{path}live/"' in text


def test_without_the_asgi_server_no_stream_is_offered(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    response = client.get(reverse("rigs:live", args=[world.production.pk, world.rig.pk]))
    assert response.status_code == 204
    assert not Presence.objects.exists()


def test_who_has_not_been_heard_of_is_not_here(world: World) -> None:
    with clock.set_to(clock.now() - 2 * presence.STALE):
        presence.arrive("rig:x", world.engineer)
    assert presence.others("rig:x", world.tech) == []
    mine = presence.arrive("rig:x", world.engineer)
    assert presence.others("rig:x", world.tech) == [world.engineer.name]
    assert presence.others("rig:x", world.engineer) == []
    assert Presence.objects.count() == 1  # the stale one was swept out
    presence.leave(mine, "rig:x", world.engineer)
    assert presence.others("rig:x", world.tech) == []


def words_of(watch: Watch, **more: float) -> list[str]:
    """All a stream says, in a thread: browser tests leave a running loop in that of the tests."""

    async def listen() -> list[str]:
        return [words async for words in events(watch, **more)]

    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, listen()).result()


@pytest.mark.django_db(transaction=True)
def test_a_stream_ends_so_that_a_dead_telephone_is_not_here_for_long(world: World) -> None:
    """A page that is there asks again; until then its person is still shown, and not longer."""
    client = Client()
    client.force_login(world.tech)
    watch = Watch(
        "rig:x", world.production.pk, world.tech, 1, lambda _: [], client.session.session_key or ""
    )
    told = words_of(watch, beat_s=0.05, life_s=0.2)
    assert told[0] == f"retry: {RETRY_MS}\n\n"
    assert ": still here\n\n" in told
    assert told[-1] == f"retry: {ASK_AGAIN_MS}\n\n"
    assert presence.others("rig:x", world.engineer) == [world.tech.name]
    with clock.set_to(clock.now() + presence.RETURNING + timedelta(seconds=1)):
        assert presence.others("rig:x", world.engineer) == []
    # Back in time: one row, not two, and none when the page closes.
    again = presence.arrive("rig:x", world.tech)
    assert Presence.objects.count() == 1
    presence.leave(again, "rig:x", world.tech)
    assert presence.others("rig:x", world.engineer) == []


@pytest.mark.parametrize("how", ["logged out", "new password", "closed account"])
@pytest.mark.django_db(transaction=True)
def test_without_a_log_in_nothing_more_is_told(world: World, how: str) -> None:
    client = Client()
    client.force_login(world.tech)
    key = client.session.session_key or ""
    if how == "logged out":
        client.logout()
    elif how == "new password":
        world.tech.set_password("another-one-1")
        world.tech.save()
    else:
        world.tech.is_active = False
        world.tech.save()
    watch = Watch("rig:x", world.production.pk, world.tech, 1, lambda _: [], key)
    assert words_of(watch, life_s=0.2) == [f"retry: {RETRY_MS}\n\n"]
    assert not Presence.objects.exists()


def test_ctrl_c_stops_the_service_though_streams_are_open(place: Place) -> None:
    port = free_port()
    served = subprocess.Popen(
        [sys.executable, "manage.py", "start", "--empty", "--bind", f"127.0.0.1:{port}"],
        env=place.environment,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        wait_for(port)
        path = f"/p/{place.known['production']}/rigs/{place.known['rig']}/live/"
        readers = [Reader(port, path, place.known[who]) for who in ("engineer", "tech", "engineer")]
        for reader in readers:
            assert reader.next("people") is not None
        begun = time.monotonic()
        os.killpg(served.pid, signal.SIGINT)  # a terminal sends it to all of them
        served.wait(PATIENCE_S)
        # 2 s of grace, and a busy machine; a stream that is left alone lasts longer.
        assert time.monotonic() - begun < LIFE_S / 2
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(served.pid, signal.SIGKILL)
