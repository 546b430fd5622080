"""What stands on a riser goes along with it, and what stands elsewhere at one show."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from core.models import Player, Show
from core.models.roles import Role
from rigs.models import MainsDrop, PlotChange, PlotPlace, Riser
from rigs.plot.carried import Moved, standing_on, with_what_they_carry
from rigs.plot.load import plot_of
from rigs.plot.things import Size, Spot, StagePlot, What
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.plot.test_drawing import metres, thing
from tests.rigs.plot.test_plot_pages import at, made_riser, named
from tests.support.pages import as_user
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def riser(world: World) -> Riser:
    """2 × 2 m in the middle, 5 m upstage, with the player on it and another beside it."""
    beside = Player.objects.create(production=world.production, name="Wren", instrument="keys")
    for player, right in ((world.player, "0.5"), (beside, "1.5")):
        PlotPlace.objects.create(
            production=world.production, player=player, right_m=right, up_m="5.5"
        )
    return made_riser(world, right_m="0", up_m="5")


def test_what_has_its_middle_on_a_riser_stands_on_it() -> None:
    # A riser of 4 × 1 m turned by 30° to stage right: its right-hand end is 2 m · cos 30° = 1.732 m
    # to stage right and 2 m · sin 30° = 1 m upstage of its middle (by hand).
    size = Size(metres(4), metres(1))
    riser = thing(0, 4, What.RISER, "Riser", size=size, turns=True, faces=30)
    end, off = thing(1.7, 4.98, name="End"), thing(1.7, 3.02, name="Off")
    plot = StagePlot(10, 8, True, things=(riser, end, off))
    assert standing_on(riser, plot) == [end]


def test_of_two_risers_the_smaller_stands_on_the_larger() -> None:
    large = thing(0, 4, What.RISER, "Large", size=Size(metres(4), metres(3)))
    small = thing(1, 4, What.RISER, "Small", size=Size(metres(1), metres(1)))
    plot = StagePlot(10, 8, True, things=(large, small))
    assert standing_on(large, plot) == [small]
    assert standing_on(small, plot) == []
    moved = with_what_they_carry([Moved(large.key, "Large", Spot(metres(-1), metres(4)))], plot)
    assert [(each.name, each.spot.metres) for each in moved if each.spot] == [
        ("Large", (-1.0, 4.0)),
        ("Small", (0.0, 4.0)),
    ]


def test_places_take_along_what_stands_on_a_riser(world: World, tech: Client, riser: Riser) -> None:
    page = Page(tech, at(world, "plot_places"))
    assert page.send(**{f"riser-{riser.pk}-right": "-2 m"}).status == 302
    assert named(world, str(world.player)).place == "1.5 m stage left, 5.5 m upstage"
    assert named(world, "Wren").place == "1.5 m stage right, 5.5 m upstage"
    assert len(PlotChange.objects.get().words) == 2


def test_the_form_of_a_riser_takes_along_too(world: World, tech: Client, riser: Riser) -> None:
    page = Page(tech, at(world, "plot_riser", riser.pk))
    assert page.send(up_m="3 m", faces="stage left").status == 302
    assert named(world, "Drum riser").place == "on the centre line, 3 m upstage, faces stage left"
    assert named(world, str(world.player)).spot.metres == (0.5, 3.5)  # type: ignore[union-attr]


def test_what_is_typed_itself_goes_where_it_is_said(
    world: World, tech: Client, riser: Riser
) -> None:
    key, player = f"riser-{riser.pk}", f"player-{world.player.pk}"
    page = Page(tech, at(world, "plot_places"))
    page.send(**{f"{key}-right": "-2 m", f"{player}-right": "4 m"})
    assert named(world, str(world.player)).spot.metres == (4.0, 5.5)  # type: ignore[union-attr]
    # The page has moved what stands there itself, and this was put back by hand.
    Page(tech, at(world, "plot_places")).send(**{f"{player}-right": "-2 m"})
    page = Page(tech, at(world, "plot_places"))
    page.send(**{f"{key}-right": "0 m", f"{key}-carried": "page"})
    assert named(world, str(world.player)).spot.metres == (-2.0, 5.5)  # type: ignore[union-attr]


def test_at_one_show_things_stand_elsewhere_and_go_back(
    world: World, show: Show, riser: Riser
) -> None:
    crew = as_user(world.people[Role.CREW])
    page = Page(crew, at(world, "show_plot_places", show.pk))
    assert page.send(**{f"riser-{riser.pk}-right": "-2 m"}).status == 302
    assert named(world, str(world.player)).spot.metres == (0.5, 5.5)  # type: ignore[union-attr]
    there = named(world, str(world.player), show)
    assert there.spot.metres == (-1.5, 5.5)  # type: ignore[union-attr]
    assert there.usual == "0.5 m stage right, 5.5 m upstage"
    html = " ".join(Page(crew, at(world, "show_plot", show.pk)).html.split())
    assert "all shows: on the centre line, 5 m upstage" in html
    sheet = crew.get(at(world, "show_plot_sheet", show.pk))
    assert "only at this show" in " ".join(" ".join(text_of(sheet.content)).split())
    # One goes back by its box, all by the button.
    page = Page(crew, at(world, "show_plot_places", show.pk))
    page.send(**{f"player-{world.player.pk}-usual": "on"})
    assert named(world, str(world.player), show).usual == ""
    assert named(world, "Drum riser", show).usual != ""
    for _ in range(2):
        assert crew.post(at(world, "show_plot_places_as_usual", show.pk)).status_code == 302
    assert named(world, "Drum riser", show).usual == ""
    assert [c.words for c in PlotChange.objects.filter(show=show)][0] == [
        "All places: as for all shows"
    ]


def test_what_is_typed_as_for_all_shows_is_nothing_of_the_show(
    world: World, show: Show, tech: Client, riser: Riser
) -> None:
    for right in ("-2 m", "0 cm"):
        Page(tech, at(world, "show_plot_places", show.pk)).send(
            **{f"riser-{riser.pk}-right": right}
        )
    assert not PlotPlace.objects.filter(show=show).exists()


def test_a_retired_show_keeps_its_places(world: World, show: Show, tech: Client) -> None:
    show.retire()
    assert tech.get(at(world, "show_plot_places", show.pk)).status_code == 302
    url = reverse("api-show-plot", args=[show.pk])
    sent = tech.post(url, {"places": []}, content_type="application/json")
    assert sent.status_code == 400


def test_a_program_writes_what_pages_write(
    world: World, show: Show, tech: Client, riser: Riser
) -> None:
    production = world.production.pk

    def send(address: str, *more: object, method: str = "put", **sent: object) -> tuple[int, dict]:  # type: ignore[type-arg]
        url = reverse(address, args=more)
        reply = getattr(tech, method)(url, sent, content_type="application/json")
        return reply.status_code, reply.json() if reply.content else {}

    code, made = send(
        "api-plot-risers", production, method="post", name="Keys", width_m="3 m", depth_m="5 ft"
    )
    assert (code, made["depth_m"], made["version"]) == (201, "5 ft", 1)
    again = {**made, "right_m": "2 m", "up_m": "3 m", "faces": "upstage left"}
    code, told = send("api-plot-riser", production, made["id"], **again)
    assert (code, told["faces"], told["version"]) == (200, "upstage left", 2)
    stale, told = send("api-plot-riser", production, made["id"], **again)
    assert (stale, "Someone else changed this" in str(told)) == (400, True)
    code, told = send("api-plot-drops", production, method="post", name="Left", volts="230")
    feeds = [str(world.unit.pk)]
    code, told = send("api-plot-drop", production, told["id"], name="Left", feeds=feeds)
    assert (code, told["feeds"], told["volts"]) == (200, feeds, None)
    world.unit.refresh_from_db()
    assert world.unit.mains_circuit == "Left"
    for name, of in (("api-plot-stage", production), ("api-show-plot-stage", show.pk)):
        code, told = send(name, of, width_m="9 m", depth_m="6 m")
        assert (code, told["width_m"]) == (200, 9.0)
    assert send("api-show-plot-stage", show.pk, method="delete")[0] == 200
    key = f"riser-{riser.pk}"
    code, told = send(
        "api-show-plot", show.pk, method="post", places=[{"key": key, "right": "1 m", "faces": "0"}]
    )
    assert told["changed"][0] == "Drum riser: 1 m stage right, 5 m upstage, faces downstage"
    (seen,) = (each for each in plot_of(world.production, show).things if each.key == key)
    assert (seen.faces, bool(seen.usual)) == (0, True)
    send("api-show-plot", show.pk, method="post", places=[{"key": key, "usual": True}])
    assert not PlotPlace.objects.filter(show=show, riser=riser).exists()
    wrong = [{"key": f"player-{world.player.pk}", "faces": "upstage"}]
    code, told = send("api-show-plot", show.pk, method="post", places=wrong)
    assert (code, "has no faces of its own" in str(told)) == (400, True)
    assert send("api-plot-riser", production, riser.pk, method="delete")[0] == 204
    drop = MainsDrop.objects.get()
    assert send("api-plot-drop", production, drop.pk, method="delete")[0] == 204
    crew = as_user(world.people[Role.CREW])
    refused = crew.post(reverse("api-plot-risers", args=[production]))
    assert refused.status_code == 403
