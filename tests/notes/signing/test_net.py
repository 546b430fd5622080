"""What a stretch of history adds up to is what the diff of its two ends says (rigs.changes.diff,
which is itself judged against a general JSON Patch library), and names who really touched it: the
rows of the history are walked here one by one to know."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core import clock
from notes.signing.net_changes import Difference, between
from rigs.changes.diff import diff
from rigs.changes.edits import WHOLE
from rigs.models import ChangeRow, Revision, Rig
from rigs.revisions.many import as_of_many, last_before
from rigs.revisions.read import as_of
from tests.rigs.revisions.test_history_properties import STEP, play
from tests.support.world import HIRE, World, make_world

pytestmark = pytest.mark.django_db


def walked(rig: Rig, start: int, end: int) -> dict[tuple[str, str], tuple[int, ...]]:
    """Part and field → the revisions in between that touched it, at most three, by every row."""
    touched: dict[tuple[str, str], list[int]] = {}
    rows = ChangeRow.objects.filter(revision__rig=rig).order_by("revision__number", "pk")
    for row in rows.filter(revision__number__gt=start, revision__number__lte=end):
        fields = set((row.old or {}) | (row.new or {})) if row.field == WHOLE else {row.field}
        for field in fields | ({WHOLE} if row.field == WHOLE else set()):
            touched.setdefault((str(row.part), field), []).append(row.revision_id)
    return {key: tuple(found[-3:]) for key, found in touched.items()}


@settings(max_examples=20, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=1, max_size=14), st.integers(0, 14), st.integers(0, 14))
def test_it_is_the_diff_of_the_ends_with_those_who_touched_it(
    steps: list[tuple[int, str, int]], one: int, other: int
) -> None:
    with transaction.atomic():
        world = make_world()
        play(world, steps)
        rig = world.rig
        start, end = sorted(min(each, rig.head_number) for each in (one, other))
        found = between([rig], {rig.pk: (start, end)})[rig.pk] if start < end else []
        assert [each.change for each in found] == diff(as_of(rig, start), as_of(rig, end))
        known = walked(rig, start, end)
        for each in found:
            # A field that a part came back without was touched by its coming back, too.
            whole = known.get((each.change.part, WHOLE), ())
            own = known.get((each.change.part, each.change.field), ())
            assert each.revisions == tuple(sorted({*own, *whole}))[-3:]
        transaction.set_rollback(True)


def only(world: World, start: int) -> Difference:
    world.rig.refresh_from_db()
    (found,) = between([world.rig], {world.rig.pk: (start, world.rig.head_number)})[world.rig.pk]
    return found


def test_turned_and_turned_back_is_no_difference(world: World) -> None:
    world.turn("3:00")
    world.turn("2:30")
    world.rig.refresh_from_db()
    assert between([world.rig], {world.rig.pk: (1, 3)}) == {world.rig.pk: []}


def test_a_difference_names_the_newest_three_revisions(world: World) -> None:
    turned = [world.turn(f"{hour}:00") for hour in (3, 4, 5, 1)]
    made = [each.pk for each in turned if each is not None]
    found = only(world, 1)
    assert (found.change.old, found.change.new) == ("2:30", "1:00")
    assert found.revisions == tuple(made[-3:])
    assert only(world, 4).revisions == (made[-1],)


def many_rigs(world: World) -> dict[Any, int]:
    """Two rigs more, one of them of long history."""
    from core.models import Player
    from tests.support.world import make_rig

    for name in ("Second", "Third"):
        player = Player.objects.create(production=world.production, name=name, instrument="bass")
        make_rig(world.production, player, world.tech, f"{name} rig", ())
    for number in range(70):
        world.turn(f"{number % 4 + 1}:00")
    world.swap(world.other_mic, HIRE)
    return {rig.pk: rig.head_number for rig in Rig.objects.all()}


def test_many_rigs_are_read_as_each_alone_in_as_many_queries(world: World) -> None:
    heads = many_rigs(world)
    for number in (0, 1, 31, 32, 33, 40, 65, 71):
        wanted = {rig: min(number, head) for rig, head in heads.items()}
        with CaptureQueriesContext(connection) as captured:
            found = as_of_many(wanted)
        assert len(captured) <= 2
        for rig in Rig.objects.all():
            assert found[rig.pk] == as_of(rig, wanted[rig.pk])


@pytest.mark.parametrize("turned", [1, 31, 32, 33, 64, 80])
def test_the_last_before_a_moment(
    world: World, turned: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As every revision's own time says, on both sides of each whole state."""
    start = datetime(2030, 1, 1, tzinfo=UTC)
    for number in range(turned):
        at = start + timedelta(hours=number)
        monkeypatch.setattr(clock, "now", lambda at=at: at)
        world.turn(f"{number % 4 + 1}:{number % 60:02d}")
    for hours in (-1, 0, turned // 2, turned - 1, turned + 1):
        moment = start + timedelta(hours=hours)
        numbers = Revision.objects.filter(rig=world.rig, at__lt=moment).values_list("number")
        expected = max((number for (number,) in numbers), default=0)
        assert last_before([world.rig.pk], moment) == {world.rig.pk: expected}
