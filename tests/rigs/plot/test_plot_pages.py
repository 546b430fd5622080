"""The plot as pages, paper and API: places by numbers, who plays, one page, who may."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from core.models import Player, Show
from core.models.roles import Role
from core.search.backend import search
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import LentLine, MainsDrop, PlotChange, PlotPlace, Riser, StageSize
from rigs.plot.load import plot_of
from rigs.plot.paper import plot_sheet
from rigs.plot.services import save_stage
from rigs.plot.things import Thing
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.patch.stages import add_inputs, make_box
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


def at(world: World, name: str, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, *more])


def made_riser(world: World, name: str = "Drum riser", **more: Any) -> Riser:
    size = {"width_m": "2", "depth_m": "2", "height_m": "0.4"}
    return Riser.objects.create(production=world.production, name=name, **size | more)


def named(world: World, name: str, show: Show | None = None) -> Thing:
    (found,) = (each for each in plot_of(world.production, show).things if each.name == name)
    return found


def test_places_are_typed_in_whatever_unit_and_say_their_side(world: World, tech: Client) -> None:
    riser, player = made_riser(world), f"player-{world.player.pk}"
    page = Page(tech, at(world, "plot_places"))
    sent = page.send(
        **{
            f"riser__{riser.pk}__right": "1.2 m",
            f"riser__{riser.pk}__up": "5",
            f"{player}__right": "-3 ft 6 in",
            f"{player}__up": "150 cm",
        }
    )
    assert sent.status == 302
    assert named(world, "Drum riser").place == "1.2 m stage right, 5 m upstage"
    # 3.5 ft are 1.0668 m: one foot is 0.3048 m exactly (NIST SP 811, appendix B.8).
    (place,) = PlotPlace.objects.all()
    assert (str(place.right_m), place.right_unit) == ("-1.066800000", "ft")
    html = Page(tech, at(world, "plot")).html
    assert "3.5 ft stage left, 150 cm upstage" in html
    change = PlotChange.objects.get()
    assert sorted(change.words) == [
        "Drum riser: 1.2 m stage right, 5 m upstage",
        f"{world.player}: 3.5 ft stage left, 150 cm upstage",
    ]


@pytest.mark.parametrize(
    ("right", "up", "field", "told"),
    [
        ("left", "2 m", "right", "“left” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("", "2 m", "right", "A place needs both: to stage right, and upstage."),
        ("2 m", "400 m", "up", "More than 100 m cannot be right."),
    ],
)
def test_what_cannot_be_is_told_at_its_place_and_nothing_is_lost(
    world: World, tech: Client, right: str, up: str, field: str, told: str
) -> None:
    riser = made_riser(world)
    key = f"riser-{riser.pk}"
    page = Page(tech, at(world, "plot_places"))
    sent = page.send(**{f"{key}-right": right, f"{key}-up": up})
    assert sent.status == 200
    assert sent.response.context["form"].errors == {f"{key}-{field}": [told]}
    assert (sent.sent[f"{key}-right"], sent.sent[f"{key}-up"]) == (right, up)
    assert PlotChange.objects.count() == 0


def test_what_somebody_else_moved_meanwhile_is_told_and_the_rest_kept(
    world: World, tech: Client
) -> None:
    first, second = made_riser(world, right_m="1", up_m="1"), made_riser(world, "Keys riser")
    page = Page(tech, at(world, "plot_places"))
    Riser.objects.filter(pk=first.pk).update(right_m="2")
    # What was not typed over is left where somebody else put it.
    place = {f"riser-{second.pk}-right": "3 m", f"riser-{second.pk}-up": "3 m"}
    assert page.send(**place).status == 302
    assert named(world, "Drum riser").place == "2 m stage right, 1 m upstage"
    stale = page.send(**{f"riser-{first.pk}-right": "-4 m"})
    assert stale.response.context["form"].errors[f"riser-{first.pk}-right"] == [
        "Now there: 2 m stage right, 1 m upstage. Save again to keep yours."
    ]
    assert stale.send().status == 302
    assert named(world, "Drum riser").place == "4 m stage left, 1 m upstage"


def test_drums_and_their_microphones_follow_the_one_that_is_placed(world: World) -> None:
    snare, kick = str(uuid4()), str(uuid4())
    plan = {"plan_right_unit": "cm", "plan_front_unit": "cm"}
    world.record(
        Add(
            snare,
            "unit",
            {"name": "Snare", "gear": "drum", "plan_right_m": "0", "plan_front_m": "0", **plan},
        ),
        Add(
            kick,
            "unit",
            {"name": "Kick", "gear": "drum", "plan_right_m": "0.2", "plan_front_m": "0.5", **plan},
        ),
        Set(
            str(world.input.pk),
            "input",
            {"plan_right_m": "-0.3", "plan_front_m": "0.1", "stand": "boom", **plan},
        ),
        reason=Reason(ReasonKind.ROOM, "Measured on stage."),
    )
    assert named(world, "Snare").moves
    PlotPlace.objects.create(production=world.production, unit_id=snare, right_m="1", up_m="5")
    found = named(world, "Kick")
    # In front of the snare is nearer to the audience; the drummer's right is stage right (by hand).
    assert found.spot is not None
    assert found.spot.metres == (1.2, 4.5)
    assert not found.moves
    mic = next(each for each in plot_of(world.production).things if each.key.startswith("input"))
    assert mic.spot is not None
    assert mic.spot.metres == (0.7, 4.9)


def test_a_guest_is_on_the_plot_of_the_shows_where_they_play(
    world: World, show: Show, tech: Client
) -> None:
    guest = Player.objects.create(
        production=world.production, name="Lorcan", instrument="fiddle", guest=True
    )
    made_riser(world, "Fiddle riser", player=guest, right_m="1", up_m="1")
    assert named(world, "Lorcan, guest")
    at_show = plot_of(world.production, show)
    assert at_show.absent == ("Lorcan",)
    assert {each.name for each in at_show.things} & {"Lorcan", "Fiddle riser"} == set()
    assert "Not at this show, and left out: Lorcan." in Page(
        tech, at(world, "show_plot", show.pk)
    ).html.replace("\n", " ")


def test_a_show_has_a_stage_of_its_own_and_says_what_does_not_fit(world: World, show: Show) -> None:
    made_riser(world, right_m="4", up_m="3")
    StageSize.objects.create(production=world.production, width_m="10", depth_m="8")
    crew = as_user(world.people[Role.CREW])
    sent = Page(crew, at(world, "show_plot_stage", show.pk)).send(width_m="8 m", depth_m="6 m")
    assert sent.status == 302
    assert plot_of(world.production).problems == []
    # The riser reaches 4 + 2 / 2 = 5 m to stage right, the stage 8 / 2 = 4 m.
    told = "Drum riser stands 1.00 m over the edge of this stage."
    assert plot_of(world.production, show).problems == [told]
    assert told in Page(crew, at(world, "show_plot", show.pk)).html
    assert crew.post(at(world, "show_plot_stage_as_usual", show.pk)).status_code == 302
    assert plot_of(world.production, show).width == 10
    assert [words for c in PlotChange.objects.all() for words in c.words] == [
        "Stage: as for all shows",
        "Stage: 8 m wide, 6 m deep",
    ]


def test_a_retired_show_keeps_its_stage(world: World, show: Show) -> None:
    show.retire()
    size = StageSize(production=world.production, show=show, width_m="8", depth_m="6")
    with pytest.raises(ValidationError, match="This show is retired"):
        save_stage(size, by=world.tech)


def test_what_is_lent_to_another_act_stands_on_the_plot(
    world: World, show: Show, tech: Client
) -> None:
    box = make_box(world)
    PlotPlace.objects.create(production=world.production, box=box, right_m="-4", up_m="1")
    LentLine.objects.create(
        show=show, act="The Kestrel Lamps", what="Four voices", box=box, first=9, count=4
    )
    html = Page(tech, at(world, "show_plot", show.pk)).html
    assert html.count("Four voices, lent to The Kestrel Lamps: A 9–12") == 2
    assert "Kestrel" not in Page(tech, at(world, "plot")).html


def test_risers_and_drops_are_found(world: World, tech: Client) -> None:
    Page(tech, at(world, "plot_riser_new")).send(name="Fern riser", width_m="2 m", depth_m="1 m")
    Page(tech, at(world, "plot_drop_new")).send(name="Gorse", place="behind the organ")
    (riser,) = search(world.production, "fern").hits
    assert riser.path == f"{at(world, 'plot')}#riser-{Riser.objects.get().pk}"
    (drop,) = search(world.production, "behind organ").hits
    html = Page(tech, at(world, "plot")).html
    assert f'id="{drop.path.partition("#")[2]}"' in html


def test_a_riser_is_taken_off(world: World, tech: Client) -> None:
    riser = made_riser(world)
    assert tech.post(at(world, "plot_riser_retire", riser.pk)).status_code == 302
    assert plot_of(world.production).groups == []
    assert "Drum riser: taken off" in Page(tech, at(world, "plot_history")).html
    assert tech.get(at(world, "plot_riser", riser.pk)).status_code == 404


def test_the_page_says_what_is_missing_where_nothing_stands(world: World, tech: Client) -> None:
    html = Page(tech, at(world, "plot")).html
    assert "Not placed yet" in html
    assert "How large the stage is has not been said" in " ".join(html.split())


def fill_stage(world: World, players: int) -> None:
    """A player with a riser, a place, a drop and an input on a stand, so many times."""
    for n in range(players):
        player = Player.objects.create(
            production=world.production, name=f"Player number {n}", instrument="strings"
        )
        spot = {"right_m": str(n % 7 - 3), "up_m": str(1 + n // 7 * 2)}
        PlotPlace.objects.create(production=world.production, player=player, **spot)
        made_riser(world, f"Riser of number {n}", player=player, **spot)
        box = make_box(world, f"B{n}")
        PlotPlace.objects.create(production=world.production, box=box, **spot)
    for entry in add_inputs(world, 20, players, device=str(world.mic.pk), stand="tall boom"):
        PlotPlace.objects.create(
            production=world.production, input=entry, right_m="1", up_m=str(entry.number or 0)[:1]
        )
    MainsDrop.objects.create(production=world.production, name=f"Drop {players}", volts=230)


def test_the_plot_takes_as_many_queries_for_14_players(
    world: World, show: Show, tech: Client
) -> None:
    fill_stage(world, 1)
    urls = [
        at(world, "plot"),
        at(world, "plot_places"),
        at(world, "show_plot", show.pk),
        at(world, "show_plot_sheet", show.pk),
    ]
    few = [queries_of(tech, url) for url in urls]
    fill_stage_more(world)
    assert [queries_of(tech, url) for url in urls] == few
    assert max(few) < 40


def fill_stage_more(world: World) -> None:
    for n in range(13):
        player = Player.objects.create(
            production=world.production, name=f"More {n}", instrument="strings"
        )
        place = {"right_m": "1", "up_m": "2"}
        PlotPlace.objects.create(production=world.production, player=player, **place)
        made_riser(world, f"More riser {n}", player=player, **place)
        PlotPlace.objects.create(production=world.production, box=make_box(world, f"C{n}"), **place)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_one_page_is_one_page_at_14_players(world: World, tech: Client, paper: str) -> None:
    fill_stage(world, 14)
    sheet = tech.get(f"{at(world, 'plot_sheet')}?paper={paper}")
    (page,) = text_of(sheet.content)
    assert "stage right (house left)" in page
    assert "Player number 13" in page
    assert "licensed electrician" in page
    assert "More than one page" not in page


def test_letters_that_no_font_has_leave_a_gap_and_no_failure(
    world: World, show: Show, tech: Client
) -> None:
    # U+E000 is for private use (The Unicode Standard, chapter 23.5): no font here draws it. In the
    # drawing the compiler refuses it in other words than in text.
    name = "Riser \ue000 of oak"
    made_riser(world, name, right_m="0", up_m="3")
    Show.objects.filter(pk=show.pk).update(room=name)
    for url in (
        at(world, "show_plot_sheet", show.pk),
        at(world, "changeover_pdf", show.pk),
    ):
        sheet = tech.get(url)
        assert sheet.status_code == 200
        assert "of oak" in " ".join(text_of(sheet.content))


def test_more_goes_over_and_says_so(world: World) -> None:
    fill_stage(world, 60)
    plot = plot_of(world.production)
    pages = text_of(plot_sheet(world.production, plot, title="Stage plot", paper="a4"))  # type: ignore[arg-type]
    assert len(pages) > 1
    assert "More than one page: the places go on overleaf." in pages[0]


def test_the_api_reads_and_writes(world: World, show: Show, tech: Client) -> None:
    riser = made_riser(world)
    MainsDrop.objects.create(production=world.production, name="Left", volts=230, amps=16)
    world.record(Set(str(world.unit.pk), "unit", {"mains_circuit": "Left"}))
    url = reverse("api-plot", args=[world.production.pk])
    key = f"riser-{riser.pk}"
    sent = {"places": [{"key": key, "right": "-2.5 m", "up": "4"}]}
    response = tech.post(url, sent, content_type="application/json")
    assert response.json() == {"changed": ["Drum riser: 2.5 m stage left, 4 m upstage"]}
    for address in (url, reverse("api-show-plot", args=[show.pk])):
        found = tech.get(address).json()
        (thing,) = (each for each in found["things"] if each["key"] == key)
        assert (thing["right_m"], thing["up_m"], thing["width_m"]) == (-2.5, 4.0, 2.0)
        (drop,) = found["mains"]
        assert (drop["volts"], drop["hertz"], drop["amps"]) == (230.0, None, 16.0)
        assert drop["feeds"] == [str(world.unit.pk)]
    wrong = {"places": [{"key": key, "right": "", "up": "4"}]}
    refused = tech.post(url, wrong, content_type="application/json")
    assert refused.status_code == 400
    assert "A place needs both" in str(refused.json())
    unknown = {"places": [{"key": "riser-1", "right": "1", "up": "4"}]}
    assert tech.post(url, unknown, content_type="application/json").status_code == 400
    crew = as_user(world.people[Role.CREW])
    assert crew.post(url, sent, content_type="application/json").status_code == 403
