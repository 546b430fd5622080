"""What is made once is kept until something is written, bounded, and never what was forgotten."""

from __future__ import annotations

import os
import threading
import time
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test import override_settings

from core import clock
from core.kept import shelf as shelves
from core.kept.release import release
from core.kept.shelf import DAYS, KeptDiffers, Shelf
from core.models import KeptResult, Player, Production, Removal
from core.personal import opening
from tests.support.world import World

pytestmark = pytest.mark.django_db


class Counted:
    """Gives what it was given, and counts how often."""

    def __init__(self, made: Any = "made") -> None:
        self.made, self.times = made, 0

    def __call__(self) -> Any:
        self.times += 1
        return self.made


def asked(production: Production, make: Any, *about: object, **more: Any) -> Any:
    """As a request of its own asks."""
    return Shelf(production.pk).get("test", about, make, **more)


@pytest.fixture(autouse=True)
def _believed() -> Any:
    with override_settings(KEPT_CHECKED=False):
        yield


@pytest.mark.parametrize("lasting", [False, True])
def test_it_is_made_once_for_each_that_is_asked(world: World, lasting: bool) -> None:
    make = Counted({"a": [1, None, True, "ü"]})
    for about in ("x", "x", "y"):
        assert asked(world.production, make, about, lasting=lasting) == make.made
    assert make.times == 2


def test_whatever_is_written_makes_it_anew_but_what_lasts_stays(world: World) -> None:
    moving, lasting = Counted(), Counted()
    for write in (world.turn, lambda setting: world.player.save(), lambda setting: None):
        asked(world.production, moving, "m")
        asked(world.production, lasting, "l", lasting=True)
        write("3:00")
    asked(world.production, moving, "m")
    assert (moving.times, lasting.times) == (3, 1)
    assert KeptResult.objects.count() == 2  # what is out of date was replaced


def test_what_does_not_depend_on_a_table_stays_when_that_is_written(world: World) -> None:
    make = Counted()

    def look() -> None:
        Shelf(world.production.pk, without=[Player]).get("test", [], make)

    look()
    world.player.save()
    look()
    assert make.times == 1
    world.turn("3:00")
    world.player.save()
    look()
    look()
    assert make.times == 2


def test_parts_of_a_result_are_put_down_with_it_and_what_stands_in_one_block(
    world: World, monkeypatch: Any
) -> None:
    put: list[int] = []
    at_once = Shelf._put
    monkeypatch.setattr(
        Shelf, "_put", lambda shelf, rows: (put.append(len(rows)), at_once(shelf, rows))
    )
    part, other = Counted("part"), Counted("other")

    def look() -> None:
        shelf = Shelf(world.production.pk)
        with shelf.together():
            whole = shelf.get("whole", [], lambda: [shelf.get("part", [], part) for _ in "ab"])
            assert (whole, shelf.get("other", [], other)) == (["part", "part"], "other")

    look()
    look()
    assert put == [3]
    assert KeptResult.objects.count() == 3
    assert other.times == 1


def test_what_was_made_before_an_error_is_kept(world: World) -> None:
    shelf, part = Shelf(world.production.pk), Counted("part")

    def fails() -> None:
        shelf.get("part", [], part)
        raise ValueError

    with pytest.raises(ValueError):
        shelf.get("whole", [], fails)
    assert Shelf(world.production.pk).get("part", [], part) == "part"
    assert part.times == 1


def test_it_belongs_to_one_production(world: World) -> None:
    other = Production.objects.create(name="Low Ferry")
    mine, theirs = Counted("mine"), Counted("theirs")
    assert asked(world.production, mine, "x", lasting=True) == "mine"
    assert asked(other, theirs, "x", lasting=True) == "theirs"
    other.delete()
    assert KeptResult.objects.count() == 1


def test_an_upgrade_and_another_day_make_it_anew(world: World, monkeypatch: Any) -> None:
    make = Counted()
    asked(world.production, make)
    with clock.set_to(clock.now() + timedelta(days=1)):
        asked(world.production, make)
        monkeypatch.setattr(shelves, "release", lambda: "another")
        asked(world.production, make)
    assert make.times == 3


def test_a_name_that_changes_is_not_kept_but_in_what_lasts(world: World) -> None:
    moving, lasting = Counted(), Counted()

    def look() -> None:
        asked(world.production, moving, "m")
        asked(world.production, lasting, "l", lasting=True)

    look()
    world.tech.save()
    look()
    assert (moving.times, lasting.times) == (1, 1)
    world.tech.name = "Odo Another"
    world.tech.save()
    look()
    assert (moving.times, lasting.times) == (2, 1)


@pytest.mark.django_db(transaction=True)
def test_who_reads_does_not_wait_for_who_writes(world: World) -> None:
    """Somebody else holds the production (or, in SQLite, the database) for as long as they like."""
    begun, done = threading.Event(), threading.Event()

    def write() -> None:
        try:
            with transaction.atomic():
                Production.objects.select_for_update().get(pk=world.production.pk)
                begun.set()
                done.wait(30)
        finally:
            connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        assert begun.wait(30)
        start = time.monotonic()
        for lasting in (False, True):
            assert asked(world.production, Counted(), lasting=lasting) == "made"
        assert time.monotonic() - start < 10  # SQLite would wait for twenty
        assert not KeptResult.objects.exists()
    finally:
        done.set()
        writer.join()


def test_what_is_kept_is_compared_in_tests(world: World) -> None:
    asked(world.production, Counted(1))
    with override_settings(KEPT_CHECKED=True):
        asked(world.production, Counted(1))
        with pytest.raises(KeptDiffers):
            asked(world.production, Counted(2))


def test_nothing_is_kept_of_a_transaction_that_may_be_undone(world: World) -> None:
    with transaction.atomic():
        asked(world.production, Counted())
    assert not KeptResult.objects.exists()


def test_what_was_begun_before_somebody_was_forgotten_is_not_kept(world: World) -> None:
    """The words were read, then removed by somebody else, then put on the shelf: not so."""

    def make() -> str:
        Removal.objects.create(production=world.production, asked_by="person", reason="a letter")
        return "words of theirs"

    for lasting in (False, True):
        assert asked(world.production, make, lasting=lasting) == "words of theirs"
        assert not KeptResult.objects.exists()


def test_after_a_removal_it_is_made_of_what_is_read_anew(world: World, monkeypatch: Any) -> None:
    """Another process may still remember words that are gone; what it remembers is not kept."""
    # As long as it is outside of tests, which remember for a whole run.
    monkeypatch.setattr(opening, "REMEMBERED_S", 60.0)
    forgotten: list[int] = []
    monkeypatch.setattr(shelves, "forget_all", lambda: forgotten.append(1))
    asked(world.production, Counted(), "before")
    assert not forgotten
    Removal.objects.create(production=world.production, asked_by="person", reason="a letter")
    asked(world.production, Counted(), "after")
    assert forgotten


def test_a_production_keeps_no_more_than_its_room_and_the_newest(
    world: World, monkeypatch: Any
) -> None:
    monkeypatch.setattr(shelves, "MOST_BYTES", 5000)
    for n in range(12):
        asked(world.production, Counted(os.urandom(500).hex()), n)  # does not pack below 500
        held = list(KeptResult.objects.order_by("pk"))
        assert sum(each.size for each in held) <= 5000
        assert all(each.size == len(each.body) > 500 for each in held)
    last = Counted()
    asked(world.production, last, 11)
    assert (last.times, 4 < len(held) < 10) == (0, True)


def test_what_nobody_made_anew_for_long_is_dropped(world: World, capsys: Any) -> None:
    asked(world.production, Counted())
    call_command("forget_sent")
    assert KeptResult.objects.exists()
    with clock.set_to(clock.now() + timedelta(days=DAYS + 1)):
        call_command("forget_sent")
    assert not KeptResult.objects.exists()


def test_the_release_is_one_digest_and_knows_templates_and_words() -> None:
    assert len(release()) == 64
    assert release() == release()


def test_nothing_is_kept_while_somebody_writes(world: World, monkeypatch: Any) -> None:
    monkeypatch.setattr(shelves, "resting", lambda *about: None)
    asked(world.production, Counted())
    assert not KeptResult.objects.exists()
