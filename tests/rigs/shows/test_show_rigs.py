"""Which rigs play at a show: the usual ones, what is chosen, and what follows from it."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import Player, Show
from core.models.roles import Role
from rigs.changes.edits import Add, Set
from rigs.models import Rig, ShowRig
from rigs.revisions.record import create, record
from rigs.shows.rigs import choose, played_at, rigs_at, usual
from rigs.shows.services import pack_of_show, rows_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def fly(world: World) -> Rig:
    return make_variant(world, world.player, "Bass fly rig", "fly")


def make_variant(world: World, player: Player, name: str, variant: str) -> Rig:
    rig = Rig(production=world.production, player=player, name=name, variant=variant)
    device = str(world.other_mic.pk)
    create(
        rig,
        author=world.tech,
        parts=(
            Add(str(uuid4()), "unit", {"name": f"Amp of {name}", "gear": "combo"}),
            Add(str(uuid4()), "input", {"name": f"Input of {name}", "number": 7, "device": device}),
        ),
    )
    return rig


def names(show: Show) -> list[str]:
    return [row.entry.name for row in rows_of(show)]


def swap(show: Show, out: Rig, in_place: Rig, world: World, **more: Any) -> list[str]:
    shown = {each.rig.pk: each.plays for each in rigs_at(show)}
    wanted = {rig for rig, plays in shown.items() if plays} - {out.pk} | {in_place.pk}
    return choose(show, shown=shown, playing=wanted, by=world.tech, **more)


def test_the_main_rig_plays_and_a_player_without_one_plays_the_fly_rig_then_the_spare(
    world: World, fly: Rig, show: Show
) -> None:
    """The order is common practice, no source."""
    one = Player.objects.create(production=world.production, name="Olu", instrument="horn")
    other = Player.objects.create(production=world.production, name="Thessa", instrument="voice")
    olu_fly = make_variant(world, one, "Horn fly", "fly")
    make_variant(world, one, "Horn spare", "spare")
    spare = make_variant(world, other, "Voice spare", "spare")
    make_variant(world, other, "Voice at home", "rehearsal")
    assert usual(Rig.objects.all()) == {world.rig.pk, olu_fly.pk, spare.pk}
    assert sorted(names(show)) == ["Bass mic", "Input of Horn fly", "Input of Voice spare"]


def test_lists_follow_the_rig_that_is_chosen(world: World, fly: Rig, show: Show) -> None:
    assert swap(show, world.rig, fly, world) == ["Bass main", "Bass fly rig"]
    assert names(show) == ["Input of Bass fly rig"]
    packed = [line.what for section in pack_of_show(show) for line in section.lines]
    assert "Amp of Bass fly rig" in packed
    assert not any("Head" in what for what in packed)
    assert swap(show, fly, world.rig, world) == ["Bass main", "Bass fly rig"]
    assert names(show) == ["Bass mic"]
    assert not ShowRig.objects.exists()  # what is as usual needs no row


def test_the_later_shows_of_the_leg_can_follow_the_earlier_cannot(
    world: World, fly: Rig, show: Show
) -> None:
    late = make_show(world, "Late")
    late.held_on = late.held_on.replace(day=9)
    late.save()
    early = make_show(world, "Early")
    early.held_on = early.held_on.replace(day=2)
    early.save()
    swap(show, world.rig, fly, world, later_too=True)
    played = played_at([early, show, late])
    assert [played[each.pk] for each in (early, show, late)] == [{world.rig.pk}, {fly.pk}, {fly.pk}]


def test_what_two_people_choose_is_brought_together(world: World, fly: Rig, show: Show) -> None:
    """Each says something of another rig, on the page as it was before either."""
    spare = make_variant(world, world.player, "Bass spare", "spare")
    shown = {each.rig.pk: each.plays for each in rigs_at(show)}
    choose(show, shown=shown, playing={world.rig.pk, fly.pk}, by=world.tech)
    choose(show, shown=shown, playing={world.rig.pk, spare.pk}, by=world.engineer)
    assert played_at([show])[show.pk] == {world.rig.pk, fly.pk, spare.pk}


def test_a_retired_rig_plays_nowhere_and_a_retired_show_is_left_alone(
    world: World, fly: Rig, show: Show
) -> None:
    swap(show, world.rig, fly, world)
    record(fly, [Set(str(fly.pk), "rig", {"retired": True})], author=world.tech, base=1)
    assert names(show) == []
    show.retired_at = clock.now()
    show.save()
    with pytest.raises(ValidationError, match="retired"):
        choose(show, shown={world.rig.pk: False}, playing={world.rig.pk}, by=world.tech)


def test_through_the_page(world: World, fly: Rig, show: Show) -> None:
    url = reverse("rigs:show_rigs", args=[world.production.pk, show.pk])
    crew = as_user(world.people[Role.CREW])
    page = Page(crew, url)
    assert "Bass main (main rig, as usual)" in page.html
    field = f"player-{world.player.pk}"
    response = crew.post(
        f"{url}?next={reverse('core:production', args=[world.production.pk])}",
        {
            "shown": page.sent["shown"],
            field: [str(fly.pk)],
        },
    )
    assert response.url == reverse("core:production", args=[world.production.pk])  # type: ignore[attr-defined]
    html = Page(crew, reverse("rigs:show_inputs", args=[world.production.pk, show.pk])).html
    linked = f'<a href="{fly.get_absolute_url()}">Bass fly rig</a>'
    assert f"Bass main stays out; {linked} plays." in html
    assert "Input of Bass fly rig" in html
    elsewhere = crew.post(f"{url}?next=//elsewhere.example/p/", {"shown": page.sent["shown"]})
    assert elsewhere.url == reverse("rigs:show_inputs", args=[world.production.pk, show.pk])  # type: ignore[attr-defined]
    assert crew.post(url, {"shown": "no id"}).status_code == 200
    manager = as_user(world.people[Role.MANAGER])
    assert manager.get(url).status_code == 403


@pytest.mark.parametrize("name", ["show_inputs", "show_pack", "show_rigs"])
def test_more_rigs_cost_no_more_queries(
    world: World, fly: Rig, show: Show, client: Client, name: str
) -> None:
    client.force_login(world.tech)
    swap(show, world.rig, fly, world)
    url = reverse(f"rigs:{name}", args=[world.production.pk, show.pk])
    client.get(url)
    few = queries_of(client, url)
    for n in range(3):
        extra = make_variant(world, world.player, f"Spare {n}", "spare")
        swap(show, extra, extra, world)
    assert queries_of(client, url) == few
