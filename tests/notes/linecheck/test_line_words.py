"""What is kept of the lines of a line check: no mark makes it anew, all else is seen at once."""

from __future__ import annotations

from dataclasses import replace
from html import unescape
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client, override_settings
from django.utils.html import strip_tags

from core.models import SetEntry, Show, ShowSet
from core.models.roles import Role
from notes.linecheck import words
from notes.linecheck.services import mark
from notes.monitors.services import change, create, state_at
from notes.monitors.state import MixState, Want
from rigs.changes.edits import Add, Retire, Set
from rigs.models import Input, LentLine, PatchBoxAtShow
from rigs.patch.services import remove_lent, save_box, save_box_at, save_lent, write_lines
from rigs.shows.rigs import choose
from tests.rigs.patch.stages import make_box, make_snake
from tests.rigs.scenes.board import add_scene, make_board, names
from tests.rigs.shows.shows import make_show
from tests.rigs.songs.band import difference, make_song
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World

pytestmark = pytest.mark.django_db


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


class Page:
    """The line check as somebody of the crew reads it, in words."""

    def __init__(self, world: World, show: Show) -> None:
        self.client: Client = as_user(world.people[Role.CREW])
        self.url = at(world, "notes:line_check", show.pk)

    @property
    def text(self) -> str:
        # Tests compare what is kept with what would be made now: what is out of date raises.
        html = self.client.get(self.url).content.decode().split("<main", 1)[1]
        return " ".join(unescape(strip_tags(html)).replace("\u00a0", " ").split())


@pytest.fixture
def page(world: World, show: Show) -> Page:
    return Page(world, show)


def names_of(world: World) -> dict[UUID, str]:
    return {world.input.pk: "Bass mic"}


def test_songs_that_leave_an_input_out(world: World, show: Show, page: Page) -> None:
    assert "Not used in" not in page.text
    ebb = make_song(world, "Alder Ebb", 1)
    off = difference(world.rig, ebb, "input", str(world.input.pk), "off")
    world.record(off)
    assert "Not used in Alder Ebb" in page.text
    ebb.title = "Gravel"
    ebb.save()
    assert "Not used in Gravel" in page.text
    own = ShowSet.objects.create(show=show, version=1)
    assert "Not used in" not in page.text
    SetEntry.objects.create(set=own, song=ebb, position=1)
    assert "Not used in Gravel" in page.text
    world.record(Retire(off.part, "song_setting"))
    assert "Not used in" not in page.text


def test_scenes_that_the_sound_depends_on(world: World, page: Page) -> None:
    board = make_board(world)
    assert "Depends on the scene" not in page.text
    loud = add_scene(world, board, "Loud", "2", gain="4:00")
    assert "Depends on the scene: 2 Loud" in page.text
    world.record(Set(str(loud.pk), "scene", {"name": "Louder"}))
    song = make_song(world, "Alder Ebb", 1)
    world.record(names(world.rig, song, loud))
    assert "Depends on the scene: 2 Louder (Alder Ebb)" in page.text
    dry = add_scene(world, board, "Dry", "1", pedal="bypassed")
    cable = Add(str(uuid4()), "link", {"source": board.pedal, "target": str(world.unit.pk)})
    assert "1 Dry" not in page.text
    world.record(cable)
    assert str(dry) in page.text


def test_where_the_line_lands_and_who_takes_it(world: World, show: Show, page: Page) -> None:
    box = make_box(world)
    line: dict[UUID, dict[str, Any]] = {world.input.pk: {"box": box, "way": 9}}
    write_lines(world.production, line, names=names_of(world), by=world.tech)
    assert "A 9" in page.text
    box.mark = "K"
    save_box(box, by=world.tech)
    assert "K 9" in page.text
    lent = LentLine(
        show=show, act="The Kestrel Lamps", what="Four voices", box=box, first=9, count=4
    )
    save_lent(lent, by=world.tech)
    assert "Four voices, lent to The Kestrel Lamps: K 9–12" in page.text
    assert page.text.count("The Kestrel Lamps") == 2  # once above all, and at the line
    lent.act = "The Sedge"
    save_lent(lent, by=world.tech)
    assert page.text.count("The Sedge") == 2
    remove_lent(lent, by=world.tech)
    assert "The Sedge" not in page.text
    line[world.input.pk]["way"] = 3
    write_lines(world.production, line, names=names_of(world), by=world.tech, show=show)
    assert "K 3" in page.text
    snake = make_snake(world, box)
    line[world.input.pk] = {"box": snake, "way": 1}
    write_lines(world.production, line, names=names_of(world), by=world.tech, show=show)
    assert "D 1 → K 9" in page.text
    save_box_at(PatchBoxAtShow(show=show, box=snake, runs="1–8 → K 1–8"), by=world.tech)
    assert "D 1 → K 1" in page.text


def test_mixes_that_an_input_is_wanted_in(world: World, page: Page) -> None:
    want = Want(str(uuid4()), "more", (f"input:{world.input.pk}",))
    mix = create(
        world.production, MixState("Wedge", position="left", wants=(want,)), by=world.engineer
    )
    assert "In Wedge (more)" in page.text
    none = replace(state_at(mix, 1), wants=(replace(want, level="none"),))
    change(mix, none, base=1, by=world.engineer)
    assert "In Wedge (none)" in page.text


def test_inputs_rigs_and_marks(world: World, show: Show, page: Page) -> None:
    assert "not checked" in page.text.casefold()
    mark(show, world.input, state="ok", by=world.tech)
    assert "1 of 1" in page.text
    world.record(Set(str(world.input.pk), "input", {"name": "Bass valve"}))
    assert "Bass valve" in page.text
    another = str(uuid4())
    world.record(Add(another, "input", {"name": "Vox", "number": 8}))
    assert "Vox" in page.text
    world.record(Retire(another, "input"))
    assert "Vox" not in page.text
    choose(show, shown={world.rig.pk: True}, playing=[], by=world.tech)
    assert "Bass valve" not in page.text


@override_settings(KEPT_CHECKED=False)
def test_a_mark_makes_nothing_anew_and_the_page_asks_little(
    world: World, show: Show, page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    box, song = make_box(world), make_song(world, "Alder Ebb", 1)
    line: dict[UUID, dict[str, Any]] = {world.input.pk: {"box": box, "way": 9}}
    write_lines(world.production, line, names=names_of(world), by=world.tech)
    world.record(difference(world.rig, song, "input", str(world.input.pk), "off"))
    add_scene(world, make_board(world), "Loud", "2", gain="4:00")
    want = Want(str(uuid4()), "more", (f"rig:{world.rig.pk}",))
    create(world.production, MixState("Wedge", position="left", wants=(want,)), by=world.engineer)
    for n in range(20):
        world.record(Add(str(uuid4()), "input", {"name": f"Input {n}", "number": n + 20}))
    assert "Not used in Alder Ebb" in page.text
    made: list[int] = []
    make = words._made
    monkeypatch.setattr(words, "_made", lambda *about: (made.append(1), make(*about))[1])
    for entry in Input.objects.select_related("rig"):
        mark(show, entry, state="ok", by=world.tech)
    assert queries_of(page.client, page.url) <= 20
    assert not made
    world.turn("3:00")
    assert "21 of 21" in page.text
    assert made == [1]


@override_settings(KEPT_CHECKED=False)
@pytest.mark.parametrize("name", ["handover", "changes", "timeline"])
def test_no_mark_makes_other_pages_anew(world: World, show: Show, page: Page, name: str) -> None:
    url = at(world, f"notes:{name}", *([show.leg_id] if name == "handover" else []))
    first = queries_of(page.client, url)
    later = queries_of(page.client, url)
    assert later < first
    mark(show, world.input, state="ok", by=world.tech)
    assert queries_of(page.client, url) == later
    world.turn("3:00")
    assert queries_of(page.client, url) > later
