"""The page of a show's set: one form, two people, nothing lost."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from core.models import SetChange, Show, ShowSet, Song, User
from core.sets.order import set_of_show
from tests.core.sets.test_order import leg, own_set, show_on, titles
from tests.support.pages import as_user, at, queries_of, says
from tests.support.world import World

__all__ = ["leg"]


@pytest.fixture
def show(leg: Any) -> Show:
    return show_on(leg, 5)


def typed(page: Any, **changed: Any) -> dict[str, Any]:
    """What a browser would send of the page, with some of it changed: `note_2` is of line 2."""
    form = page.context["form"]
    data: dict[str, Any] = {"do": "save", "version": form.version}
    for row in form.lines:
        for bound in row:
            value = row.initial.get(bound.name)
            if value not in (None, False, ""):
                data[bound.html_name] = bound.field.prepare_value(value)
    for name, value in changed.items():
        field, _, number = name.rpartition("_")
        if number.isdigit():
            data[f"{form.lines[int(number) - 1].line.id}-{field}"] = value
        else:
            data[name] = value
    target = form.more.initial["target_s"]
    return {"target_s": target or "", **data}


def open_page(user: User, world: World, show: Show) -> tuple[Client, Any, str]:
    client, url = as_user(user), at(world, "core:show_set", show.pk)
    return client, client.get(url), url


def played(show: Show) -> list[str]:
    return titles(set_of_show(show).played)


def test_two_swapped_one_cut_a_note_and_an_encore_in_one_go(world: World, show: Show) -> None:
    client, page, url = open_page(world.tech, world, show)
    data = typed(page, place_1="2", place_2="1", cut_3="on", note_1="short intro")
    data |= {"add_kind": "encore", "add_words": "", "target_s": "10:00"}
    answer = client.post(url, data, follow=True)
    assert says(answer) == [
        "Encore put in at 4. “Early Bus” and “Salt Road” swapped. “Early Bus”: “short "
        "intro”. “Kettle Hymn” cut. Length wanted: 10:00."
    ]
    assert played(show) == ["Salt Road", "Early Bus"]
    assert titles(set_of_show(show).lines) == ["Salt Road", "Early Bus", "Kettle Hymn", "Encore"]
    text = " ".join(answer.content.decode().split())
    assert "2 songs" in text
    assert "left" in text


@pytest.mark.parametrize(("way", "first"), [("down", "Salt Road"), ("up", "Early Bus")])
def test_arrows_work_without_a_script(world: World, show: Show, way: str, first: str) -> None:
    client, page, url = open_page(world.tech, world, show)
    line = page.context["form"].lines[0].line.id
    client.post(url, typed(page, do=f"{way}:{line}", note_2="kept"))
    assert played(show)[0] == first
    noted = {each.name: each.note for each in set_of_show(show).lines}
    assert noted["Salt Road"] == "kept"


def test_a_note_and_a_move_of_two_people_are_both_kept(world: World, show: Show) -> None:
    one, page, url = open_page(world.tech, world, show)
    other, _, _ = open_page(world.engineer, world, show)
    other.post(url, typed(page, place_3="1"))
    one.post(url, typed(page, note_2="short intro"))
    assert played(show) == ["Kettle Hymn", "Early Bus", "Salt Road"]
    assert {each.note for each in set_of_show(show).lines} == {"", "short intro"}


def test_two_orders_at_once_are_both_shown_and_one_is_chosen(world: World, show: Show) -> None:
    one, page, url = open_page(world.tech, world, show)
    other, _, _ = open_page(world.engineer, world, show)
    other.post(url, typed(page, place_3="1"))
    data = typed(page, place_1="2", place_2="1", note_3="mine")
    answer = one.post(url, data)
    assert played(show) == ["Kettle Hymn", "Early Bus", "Salt Road"]  # nothing is overwritten
    assert [names for _, _, names in answer.context["form"].orders] == [
        ["Kettle Hymn", "Early Bus", "Salt Road"],
        ["Salt Road", "Early Bus", "Kettle Hymn"],
        ["Salt Road", "Kettle Hymn", "Early Bus"],
    ]
    shown = answer.content.decode()
    assert 'value="mine"' in shown
    assert f"Now there, by {world.engineer.name}" in shown
    seen = answer.context["form"].seen
    one.post(url, data | {"seen": seen, "decided-order": "both"})
    assert played(show) == ["Salt Road", "Kettle Hymn", "Early Bus"]
    assert "mine" in {each.note for each in set_of_show(show).lines}


def test_an_answer_to_an_older_conflict_is_asked_again(world: World, show: Show) -> None:
    one, page, url = open_page(world.tech, world, show)
    other, _, _ = open_page(world.engineer, world, show)
    other.post(url, typed(page, place_3="1"))
    data = typed(page, place_1="2", place_2="1")
    seen = one.post(url, data).context["form"].seen
    other.post(url, typed(other.get(url), place_1="2", place_2="1"))
    again = one.post(url, data | {"seen": seen, "decided-order": "typed"})
    assert again.context["form"].conflict is not None


def test_ones_own_pages_do_not_clash(world: World, show: Show) -> None:
    """Two forms of one stored page, sent one after the other."""
    client, page, url = open_page(world.tech, world, show)
    client.post(url, typed(page, place_1="2", place_2="1"))
    client.post(url, typed(page, place_3="1"))
    assert played(show) == ["Kettle Hymn", "Salt Road", "Early Bus"]


def test_a_song_again_is_a_reprise(world: World, show: Show) -> None:
    client, page, url = open_page(world.tech, world, show)
    song = Song.objects.get(title="Early Bus")
    client.post(url, typed(page, add_song=f"again:{song.pk}"))
    assert played(show) == ["Early Bus", "Salt Road", "Kettle Hymn", "Early Bus"]
    page = client.get(url)
    answer = client.post(url, typed(page, reprise_4=""))
    assert "If it is played once more, say so: reprise." in answer.content.decode()
    assert played(show) == ["Early Bus", "Salt Road", "Kettle Hymn", "Early Bus"]


def test_a_rejected_form_keeps_what_was_typed(world: World, show: Show) -> None:
    client, page, url = open_page(world.tech, world, show)
    answer = client.post(url, typed(page, length_s_1="soon", note_2="kept", place_3="first"))
    shown = answer.content.decode()
    assert "“soon” is not a time" in shown
    assert 'value="kept"' in shown
    assert 'value="first"' in shown
    assert not ShowSet.objects.exists()


def test_the_history_says_who_and_what(world: World, show: Show) -> None:
    client, page, url = open_page(world.tech, world, show)
    client.post(url, typed(page, cut_2="on"))
    client.post(url, typed(client.get(url)))  # nothing changed
    change = SetChange.objects.get()
    assert (change.by, change.words, change.number) == (world.tech, ["“Salt Road” cut."], 1)
    listed = client.get(at(world, "core:show_set_history", show.pk)).content.decode()
    assert "“Salt Road” cut." in listed
    assert world.tech.name in listed


def test_players_read_and_do_not_write(world: World, show: Show) -> None:
    client = as_user(world.people["player"])
    url = at(world, "core:show_set", show.pk)
    assert "data-set" not in client.get(url).content.decode()
    assert client.post(url, {"version": 0}).status_code == 403


def test_the_page_takes_as_many_queries_for_a_long_set(world: World, show: Show) -> None:
    client, _, url = open_page(world.tech, world, show)
    own_set(show, "Early Bus")
    few = queries_of(client, url)
    Song.objects.bulk_create(
        Song(production=world.production, title=f"Song {n}") for n in range(30)
    )
    own = show.own_set
    own.entries.all().delete()
    own.delete()
    own_set(show, *(f"Song {n}" for n in range(30)))
    assert queries_of(client, url) == few
