"""What was taken out of a rig is listed and comes back; a cable once both of its ends are there."""

from __future__ import annotations

from uuid import UUID, uuid4

from rigs.changes.edits import Add, Retire
from rigs.models import Control, Link, Unit
from rigs.retire.services import bring_back, retire_edits, retired_parts
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World


def cable(world: World) -> tuple[Unit, Unit, Link]:
    ids = [str(uuid4()) for _ in range(3)]
    world.record(
        Add(ids[0], "unit", {"name": "Splitter", "gear": "pedal"}),
        Add(ids[1], "unit", {"name": "Fuzz", "gear": "pedal"}),
        Add(ids[2], "link", {"source": ids[0], "target": ids[1], "cable": "red patch"}),
    )
    return (Unit.objects.get(pk=ids[0]), Unit.objects.get(pk=ids[1]), Link.objects.get(pk=ids[2]))


def retire(world: World, part: Unit) -> None:
    world.record(*retire_edits(part))
    part.refresh_from_db()


def back(world: World, part: Unit) -> None:
    world.rig.refresh_from_db()
    part.refresh_from_db()
    bring_back(rig=world.rig, part=part, author=world.tech)


def in_use(link: Link) -> bool:
    link.refresh_from_db()
    return not link.retired


def test_a_cable_comes_back_with_the_second_of_its_ends(world: World) -> None:
    splitter, fuzz, link = cable(world)
    retire(world, splitter)
    retire(world, fuzz)
    back(world, splitter)
    assert not in_use(link)
    back(world, fuzz)
    assert in_use(link)


def test_whichever_end_comes_first(world: World) -> None:
    splitter, fuzz, link = cable(world)
    retire(world, splitter)
    retire(world, fuzz)
    back(world, fuzz)
    assert not in_use(link)
    back(world, splitter)
    assert in_use(link)
    assert link.cable == "red patch"


def test_a_cable_that_was_retired_by_itself_stays_away(world: World) -> None:
    splitter, fuzz, link = cable(world)
    world.record(Retire(str(link.pk), "link"))
    retire(world, splitter)
    back(world, splitter)
    assert not in_use(link)


def test_the_list_says_what_is_away_and_what_it_waits_for(world: World) -> None:
    splitter, fuzz, link = cable(world)
    retire(world, splitter)
    groups = {group.heading: group.parts for group in retired_parts(world.rig)}
    assert [away.part for away in groups["Units"]] == [splitter]
    [gone] = groups["Cables"]
    assert (gone.part, gone.waits_for) == (link, "“Splitter”")


def test_bring_a_cable_back_from_the_list(world: World) -> None:
    _, _, link = cable(world)
    world.record(Retire(str(link.pk), "link"))
    tech, url = as_user(world.tech), at(world, "rigs:retired", world.rig.pk)
    way_back = at(world, "rigs:link_retire", world.rig.pk, link.pk)
    html = tech.get(url).content.decode()
    assert "Splitter → Fuzz" in html
    assert "red patch" in html
    assert f'action="{way_back}"' in html
    tech.post(way_back, {"back": "1"})
    assert in_use(link)
    assert "Nothing is retired" in tech.get(url).content.decode()


def test_the_crew_reads_and_brings_nothing_back(world: World) -> None:
    splitter, _, _ = cable(world)
    retire(world, splitter)
    crew = as_user(world.people["crew"])
    html = crew.get(at(world, "rigs:retired", world.rig.pk)).content.decode()
    assert "Splitter" in html
    assert "Restore" not in html


def test_queries_do_not_grow(world: World) -> None:
    splitter, _, _ = cable(world)
    control = str(uuid4())
    world.record(Add(control, "control", {"unit": str(splitter.pk), "name": "Level"}))
    retire(world, splitter)
    tech, url = as_user(world.tech), at(world, "rigs:retired", world.rig.pk)
    few = queries_of(tech, url)
    for _ in range(6):
        more, _, _ = cable(world)
        retire(world, more)
    assert Control.objects.get(pk=UUID(control)).retired
    assert queries_of(tech, url) == few
