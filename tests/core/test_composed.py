"""What is composed once finds what Django would find, for each of the values."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.db.models import Q, QuerySet
from django.test.utils import CaptureQueriesContext

from core.composed import Composed, Several, column
from core.models import Membership, Production, Show
from rigs.models import Revision as Change
from tests.notes.handover.support import legs
from tests.support.world import World, make_world


def field(model: Any, name: str) -> Any:
    return lambda: model._meta.get_field(name)


def test_each_call_asks_for_its_own_values_and_makes_whole_records(world: World) -> None:
    other = make_world("The Other")
    made = 0

    def of(user: Any, production: Any) -> QuerySet[Membership]:
        nonlocal made
        made += 1
        found = Membership.objects.filter(user=user, production=production)
        return found.select_related("production").order_by()

    held = Composed(of, field(Membership, "user"), field(Membership, "production"))
    for here, place in ((world, world), (other, other), (world, world)):
        with CaptureQueriesContext(connection) as asked:
            (found,) = held(here.tech.pk, place.production.pk)
            assert found.production.name == place.production.name
        assert len(asked) == 1
        assert found == Membership.objects.get(user=here.tech, production=place.production)
        assert found.since == Membership.objects.get(pk=found.pk).since
    assert held(world.tech.pk, other.production.pk) == []
    assert made == 1


@pytest.mark.parametrize("model", [Show, Change])
def test_a_list_of_any_length_is_one_parameter(world: World, model: Any) -> None:
    keys = [row.pk for row in rows_of(world, model)]
    found = Composed(
        lambda these, others: model.objects.filter(Q(pk__among=these) | Q(pk__among=others)),
        Several(column(model)),
        Several(column(model)),
    )
    asked = set()
    for these, others in (([], []), (keys[:1], []), (keys[1:], keys[2:]), ([], keys), (keys, keys)):
        with CaptureQueriesContext(connection) as queries:
            rows = found(these, others)
        assert {row.pk for row in rows} == {*these, *others}
        asked.add(len(queries))
    assert asked == {1}


def test_a_list_may_be_of_what_rows_point_at(world: World) -> None:
    other = make_world("The Other")
    found = Composed(
        lambda places: Membership.objects.filter(production__pk__among=places),
        Several(column(Production)),
    )
    both = [world.production.pk, other.production.pk]
    assert {each.production_id for each in found(both)} == set(both)
    assert {each.production_id for each in found(both[1:])} == {other.production.pk}
    assert found([]) == []


def rows_of(world: World, model: Any) -> list[Any]:
    """Three rows, whose keys are UUIDs or numbers."""
    if model is Change:
        for setting in ("1:00", "2:00", "3:00"):
            world.turn(setting)
        return list(Change.objects.all()[:3])
    leg, _ = legs(world)
    return [Show.objects.create(leg=leg, held_on=leg.starts_on, room=f"Hall {n}") for n in range(3)]


def test_moments_and_what_is_always_the_same_stay_apart(world: World) -> None:
    leg, _ = legs(world)
    shows = [
        Show.objects.create(leg=leg, held_on=leg.starts_on + timedelta(n), room="Hall")
        for n in range(2)
    ]
    Show.objects.filter(pk=shows[0].pk).update(retired_at=datetime(2026, 9, 5, tzinfo=UTC))
    after = Composed(
        lambda room, moment: Show.objects.filter(
            room=room, town="", retired_at__gt=moment
        ).order_by(),
        field(Show, "room"),
        field(Show, "retired_at"),
    )
    assert after("Hall", datetime(2026, 9, 4, tzinfo=UTC)) == [shows[0]]
    assert after("Hall", datetime(2026, 9, 6, tzinfo=UTC)) == []
    assert after("Barn", datetime(2026, 9, 4, tzinfo=UTC)) == []


def test_an_argument_that_is_no_parameter_is_refused(world: World) -> None:
    of_nobody = Composed(lambda _: Membership.objects.all(), field(Membership, "user"))
    with pytest.raises(ValueError, match="not a parameter"):
        of_nobody(world.tech.pk)
