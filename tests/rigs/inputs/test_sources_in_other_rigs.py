"""A room microphone or a submix that picks up the rigs of other players."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from core.models import Player, SearchEntry
from rigs.changes.edits import Add, Retire
from rigs.changes.reasons import Reason, ReasonKind, ReasonRequired
from rigs.checks.load import benches
from rigs.checks.loudness import loudness
from rigs.checks.rules import dangling_end
from rigs.drawing.path import findings, sentences, signal_path
from rigs.list_import.services import apply, import_list, preview
from rigs.lists.input_list import inputs_of
from rigs.lists.paper import day_paper_rows, paper_rows
from rigs.models import Input, Rig, Source
from rigs.overview.copy import copy_rig
from rigs.revisions.read import live
from rigs.revisions.record import create
from rigs.revisions.sources import chosen_add, heard_of
from rigs.revisions.verify import verify_rig
from rigs.scenes.matter import scenes_before
from rigs.search.index import catch_up, forget
from rigs.shows.services import rows_of
from rigs.wording import describe, snapshot_view
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World, make_world

WRONG = Reason(ReasonKind.CORRECTION, "It never did.")


@pytest.fixture
def horns(world: World) -> Rig:
    """The rig of another player: a trumpet through a pedal, and no input of its own."""
    player = Player.objects.create(production=world.production, name="Olu B.", instrument="Trumpet")
    rig = Rig(production=world.production, player=player, name="Horn board")
    trumpet, pedal, scene = (str(uuid4()) for _ in range(3))
    create(
        rig,
        author=world.tech,
        parts=[
            Add(trumpet, "unit", {"name": "Clip-on", "gear": "wireless"}),
            Add(pedal, "unit", {"name": "Octaver", "gear": "switcher"}),
            Add(str(uuid4()), "link", {"source": trumpet, "target": pedal}),
            Add(scene, "scene", {"unit": pedal, "slot": "3", "name": "Low"}),
            Add(
                str(uuid4()),
                "scene_entry",
                {"scene": scene, "what": "unit", "unit": pedal, "value": "in"},
            ),
        ],
    )
    return rig


def hear(world: World, player: Player) -> Any:
    return world.record(chosen_add("source", str(world.input.pk), ("player", str(player.pk))))


def heard(world: World) -> str:
    return heard_of(Input.objects.get(pk=world.input.pk)).words


def view_of(rig: Rig) -> Any:
    rig.refresh_from_db()
    return snapshot_view(rig, live(rig))


def test_it_is_ticked_and_every_page_says_so(world: World, horns: Rig) -> None:
    client = as_user(world.tech)
    page = Page(client, at(world, "input_edit", world.input))
    assert "Olu B.’s rig: Trumpet" in page.html
    assert f"{world.player}’s rig" not in page.html  # what is its own is ticked unit by unit
    assert page.send(also=[str(horns.player_id)]).status == 302
    assert heard(world) == "Head and Olu B.’s rig"
    shown = Page(client, at(world, "input", world.input)).html
    assert f'<a href="{horns.get_absolute_url()}">Olu B.’s rig</a>' in shown
    other = client.get(horns.get_absolute_url()).content.decode()
    assert "All of this rig is picked up by" in other
    assert f"{world.input} in {world.rig}</a>" in " ".join(other.split())
    assert view_of(world.rig).inputs[0].where.startswith("On Head and Olu B.’s rig, cone edge")


def test_it_stays_where_another_player_has_gone(world: World, horns: Rig) -> None:
    hear(world, horns.player)
    horns.player.retire()
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    assert page.send(gain_db="31").status == 302
    assert heard(world) == "Head and Olu B.’s rig"


def test_history_says_it_in_words_and_taking_it_away_needs_a_reason(
    world: World, horns: Rig
) -> None:
    came = hear(world, horns.player)
    gone = Retire(str(Source.objects.get().pk), "source")
    with pytest.raises(ReasonRequired):
        world.record(gone)
    went = world.record(gone, reason=WRONG)
    rows = [row for each in (came, went) for row in each.changes.all()]
    assert [line.sentence for line in describe(world.rig, rows)] == [
        "7 Bass mic: also picks up Olu B.’s rig",
        "7 Bass mic: no longer picks up Olu B.’s rig",
    ]
    world.rig.refresh_from_db()
    verify_rig(world.rig)


def test_the_other_player_is_of_this_production_and_the_only_one_named(
    world: World, horns: Rig
) -> None:
    stranger = make_world("elsewhere").player
    unit = str(world.unit.pk)
    for wrong in (
        {"player": str(stranger.pk)},
        {"player": str(uuid4())},
        {"player": str(horns.player_id), "unit": unit},
    ):
        fields = {"input": str(world.input.pk), **wrong}
        with pytest.raises(ValidationError):
            world.record(Add(str(uuid4()), "source", fields))


def test_what_another_rig_takes_up_is_no_loose_end(world: World, horns: Rig) -> None:
    def told() -> tuple[list[str], list[str]]:
        bench = benches([horns])[horns.pk]
        return findings(view_of(horns)), [each.title for each in dangling_end.check(bench)]

    before = told()
    assert any("The path ends at Octaver" in each for each in before[0])
    assert any(each.startswith("Octaver:") for each in before[1])
    hear(world, horns.player)
    assert told() == ([], [])
    assert f"Input 7 Bass mic in {world.rig} takes up all of this rig." in sentences(view_of(horns))
    own = view_of(world.rig)
    assert "Olu B.’s rig is taken up by input 7 Bass mic" in " ".join(sentences(own))
    assert "Olu B." in str(signal_path(own))


def test_the_level_says_that_other_rigs_are_not_in_it(world: World, horns: Rig) -> None:
    fact = {"unit": str(world.unit.pk), "key": "spl_at_mic", "value": "110"}
    world.record(Add(str(uuid4()), "fact", fact))
    world.rig.refresh_from_db()
    assert loudness(benches([world.rig])[world.rig.pk].inputs[0]).assumes == ()
    hear(world, horns.player)
    world.rig.refresh_from_db()
    [said] = loudness(benches([world.rig])[world.rig.pk].inputs[0]).assumes
    assert said.startswith("At least that: the rigs of other players")


def test_a_show_names_it_on_page_paper_and_line_check(world: World, horns: Rig) -> None:
    show = make_show(world)
    [row] = rows_of(show, rigs={world.rig.pk})
    assert "Picks up" in day_paper_rows([row])[0]
    hear(world, horns.player)
    [row] = rows_of(show, rigs={world.rig.pk})
    told = dict(zip(*day_paper_rows([row]), strict=True))
    assert told["Picks up"] == "Head and Olu B.’s rig"
    assert any("Olu B.’s rig" in cell for cell in paper_rows(inputs_of(world.production))[1])
    client = as_user(world.tech)
    for name in ("show_inputs", "line_check"):
        html = page_of(client, world, show, name)
        assert "Head and Olu B.’s rig" in html


def page_of(client: Any, world: World, show: Any, name: str) -> str:
    prefix = "notes" if name == "line_check" else "rigs"
    return str(
        client.get(
            reverse(f"{prefix}:{name}", args=[world.production.pk, show.pk])
        ).content.decode()
    )


def test_scenes_of_the_other_rig_matter_where_it_plays(world: World, horns: Rig) -> None:
    hear(world, horns.player)
    entry = Input.objects.get(pk=world.input.pk)
    assert scenes_before([entry]) == {}
    assert scenes_before([entry], playing={horns.pk}) == {entry.pk: "3 Low"}


def test_a_list_names_it_and_comes_back_as_no_change(world: World, horns: Rig) -> None:
    def brought(cell: str) -> Any:
        data = f"Channel,Name,Player,Picks up\n7,Bass mic,{world.player},{cell}\n".encode()
        found = import_list(production=world.production, by=world.tech, name="list.csv", data=data)
        return found, preview(found)

    found, shown = brought("Head; olu b.'s rig")
    assert shown.faulty == []
    apply(list_import=found, by=world.tech, reason=Reason())
    assert heard(world) == "Head and Olu B.’s rig"
    for same in ("Head; Olu B.’s rig", "olu b.; head"):
        assert brought(same)[1].changing == []


def test_a_line_of_inputs_names_it(world: World, horns: Rig) -> None:
    several = Page(as_user(world.tech), at(world, "inputs_several"))
    assert several.send(lines="24 Room, , Head; Olu B.'s rig").send().status == 302
    assert heard_of(Input.objects.get(name="Room")).words == "Head and Olu B.’s rig"


def test_it_is_found_by_the_player_under_each_name(world: World, horns: Rig) -> None:
    forget(world.production)
    catch_up(world.production)
    hear(world, horns.player)
    catch_up(world.production)

    def body() -> str:
        return str(SearchEntry.objects.get(title__startswith="7 Bass mic").body)

    assert "Picks up Head, Olu B.’s rig" in body()
    horns.player.name = "Tunde"
    horns.player.save()
    assert "Tunde’s rig" in body()


def test_a_copy_picks_up_the_same(world: World, horns: Rig) -> None:
    hear(world, horns.player)
    world.rig.refresh_from_db()
    copied = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    assert view_of(copied).inputs[0].heard == "Head and Olu B.’s rig"


def test_lists_and_pages_cost_no_more_queries_for_more_players(
    world: World, horns: Rig, django_assert_num_queries: Any
) -> None:
    for name in ("Wim", "Thessa"):
        player = Player.objects.create(
            production=world.production, name=name, instrument="Saxophone"
        )
        hear(world, player)
    with django_assert_num_queries(5):
        inputs_of(world.production)
