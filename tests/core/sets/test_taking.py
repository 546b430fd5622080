"""A set begins with that of another show, and goes to a whole leg."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from core.models import SetChange, Show, ShowSet, Song
from core.search.backend import search
from core.sets.order import set_of_show
from core.sets.services import change, state_of
from tests.core.sets.test_order import leg, own_set, show_on, titles
from tests.support.pages import as_user, at, says
from tests.support.world import World

__all__ = ["leg"]
NEW = {"held_on": "2026-09-12", "room": "Winter Garden"}


def played(show: Show) -> list[str]:
    return titles(set_of_show(show).played)


def test_a_new_show_begins_with_the_set_of_the_one_before(world: World, leg: Any) -> None:
    own_set(show_on(leg, 3), "Salt Road")
    own_set(show_on(leg, 9), "Kettle Hymn", "Early Bus", target_s=900)
    own_set(show_on(leg, 20), "Early Bus")
    answer = as_user(world.tech).post(at(world, "core:show_new", leg.pk), NEW, follow=True)
    assert says(answer)[-1] == "Begun with the set of 9 Sep 2026 · Room 9."
    made = Show.objects.get(room="Winter Garden")
    assert played(made) == ["Kettle Hymn", "Early Bus"]
    assert set_of_show(made).target_s == 900
    assert SetChange.objects.get(set=made.own_set).by == world.tech
    # The same entries would be one line in two sets.
    assert not set(made.own_set.entries.all()) & set(
        Show.objects.get(room="Room 9").own_set.entries.all()
    )


def test_without_one_before_the_songs_of_the_production_are_played(world: World, leg: Any) -> None:
    as_user(world.tech).post(at(world, "core:show_new", leg.pk), NEW)
    assert not ShowSet.objects.exists()


def test_it_can_be_taken_anew_after_a_look(world: World, leg: Any) -> None:
    before, show = show_on(leg, 3), show_on(leg, 5)
    own_set(before, "Salt Road", "Early Bus")
    own_set(show, "Early Bus", "Salt Road")
    client, url = as_user(world.tech), at(world, "core:show_set_take", show.pk)
    page = client.get(url)
    assert page.context["source"] == before
    assert page.context["words"] == ["“Early Bus” and “Salt Road” swapped."]
    client.post(f"{url}?from={before.pk}", {"version": page.context["version"]})
    assert played(show) == ["Salt Road", "Early Bus"]
    assert SetChange.objects.get().words[0] == f"Begun with the set of {before}."


def test_a_leg_takes_the_set_but_for_those_left_out(world: World, leg: Any) -> None:
    shows = [show_on(leg, day) for day in (1, 5, 6, 7)]
    own_set(shows[1], "Kettle Hymn")
    own_set(shows[3], "Salt Road")
    client, url = as_user(world.tech), at(world, "core:show_set_leg", shows[1].pk)
    rows = {row.show: row for row in client.get(url).context["rows"]}
    assert [row.is_own for row in rows.values()] == [False, False, True]
    assert rows[shows[3]].words == ["“Kettle Hymn” put in at 1.", "“Salt Road” taken out."]
    versions = {f"version-{show.pk}": row.version for show, row in rows.items()}
    answer = client.post(url, {"show": [str(shows[2].pk)], **versions}, follow=True)
    assert says(answer) == ["1 show has this set now."]
    assert [played(show) for show in shows[2:]] == [["Kettle Hymn"], ["Salt Road"]]


def test_a_show_changed_meanwhile_is_left_and_named(world: World, leg: Any) -> None:
    source, other = show_on(leg, 5), show_on(leg, 6)
    own_set(source, "Kettle Hymn")
    own_set(other, "Early Bus")
    client, url = as_user(world.tech), at(world, "core:show_set_leg", source.pk)
    data = {"show": [str(other.pk)], f"version-{other.pk}": 0}
    answer = client.post(url, data, follow=True)
    assert says(answer)[0] == f"Left as it is, because it was changed meanwhile: {other}."
    assert played(other) == ["Early Bus"]


def paste(world: World, show: Show, text: str, **more: Any) -> Any:
    url = at(world, "core:show_set_paste", show.pk)
    return as_user(world.tech).post(url, {"titles": text, "version": 0, **more})


def test_pasted_titles_are_read_shown_and_then_written(world: World, leg: Any) -> None:
    show = show_on(leg, 5)
    text = "1. SALT ROAD!\n2) kettle hyms\n- Encore\nearly  bus\n(thanks)"
    page = paste(world, show, text)
    assert [row.hint for row in page.context["rows"]] == [
        "",
        "read as “Kettle Hymn”",
        "",
        "",
        "",
    ]
    assert page.context["words"]
    assert not ShowSet.objects.exists()
    paste(world, show, text, rows=5, write=1)
    lines = set_of_show(show).lines
    assert titles(lines) == ["Salt Road", "Kettle Hymn", "Encore", "Early Bus", "thanks"]
    assert [line.kind for line in lines] == ["song", "song", "encore", "song", "note"]


def test_what_is_doubtful_is_asked_and_new_songs_only_where_said(world: World, leg: Any) -> None:
    show = show_on(leg, 5)
    text = "Salt Road\nGrand Finale"
    page = paste(world, show, text, rows=2, write=1)
    assert page.context["problem"] == "Say of each line what is meant."
    assert Song.objects.count() == 3
    paste(world, show, text, rows=2, write=1, **{"line-1": "new"})
    assert Song.objects.filter(title="Grand Finale").count() == 1
    assert played(show) == ["Salt Road", "Grand Finale"]


def test_a_title_pasted_twice_is_a_reprise_and_notes_stay(world: World, leg: Any) -> None:
    show = show_on(leg, 5)
    state = state_of(set_of_show(show))
    first = state.lines[0]
    noted = (type(first)(**{**{f: getattr(first, f) for f in first.__slots__}, "note": "slow"}),)
    change(show, type(state)(noted + state.lines[1:]), base=0, by=world.tech)
    page = paste(world, show, "Early Bus\nSalt Road\nEarly Bus", version=1)
    assert page.context["rows"][2].hint.startswith("is in the list already")
    paste(world, show, "Early Bus\nSalt Road\nEarly Bus", version=1, rows=3, write=1)
    lines = set_of_show(show).lines
    assert [line.reprise for line in lines] == [False, False, True]
    assert lines[0].note == "slow"


def test_what_was_looked_at_is_what_is_taken(world: World, leg: Any) -> None:
    """Somebody changes the set between the look and the press."""
    before, show = show_on(leg, 3), show_on(leg, 5)
    own_set(before, "Salt Road", "Early Bus")
    own = own_set(show, "Early Bus", "Salt Road")
    client, url = as_user(world.tech), at(world, "core:show_set_take", show.pk)
    url = f"{url}?from={before.pk}"
    version = client.get(url).context["version"]
    ShowSet.objects.filter(pk=own.pk).update(version=version + 1)
    answer = client.post(url, {"version": version}, follow=True)
    assert "Someone else changed this set meanwhile" in says(answer)[-1]
    assert played(show) == ["Early Bus", "Salt Road"]
    client.post(url, {"version": version + 1})
    assert played(show) == ["Salt Road", "Early Bus"]


def test_an_earlier_set_is_taken_again(world: World, leg: Any) -> None:
    show = show_on(leg, 5)
    was = state_of(set_of_show(show))
    change(show, was.in_order(was.ids[::-1]), base=0, by=world.engineer)
    now = state_of(set_of_show(show))
    change(show, now.in_order([now.ids[1], now.ids[0], now.ids[2]]), base=1, by=world.tech)
    client = as_user(world.tech)
    history = client.get(at(world, "core:show_set_history", show.pk)).content.decode()
    url = at(world, "core:show_set_again", show.pk, 1)
    assert url in history
    assert at(world, "core:show_set_again", show.pk, 2) not in history  # it is so now
    page = client.get(url)
    assert page.context["words"] == ["“Salt Road” and “Kettle Hymn” swapped."]
    client.post(url, {"version": 1})  # not the set that is there
    assert played(show) == ["Salt Road", "Kettle Hymn", "Early Bus"]
    client.post(url, {"version": page.context["version"]})
    assert played(show) == ["Kettle Hymn", "Salt Road", "Early Bus"]
    newest = SetChange.objects.first()
    assert newest is not None
    assert newest.words[0].startswith("As after the change of ")
    assert client.get(at(world, "core:show_set_again", show.pk, 99)).status_code == 404
    crew = as_user(world.people["player"])
    assert crew.get(url).status_code == 403


def test_the_search_finds_songs_by_their_shows_and_shows_by_notes(world: World, leg: Any) -> None:
    one, other = show_on(leg, 5), show_on(leg, 6)
    was = state_of(set_of_show(one))
    noted = replace(was.lines[0], note="short intro, zither out")
    change(one, replace(was, lines=(noted, was.lines[1])), base=0, by=world.tech)
    assert found(world, "zither") == [str(one)]
    assert "Early Bus" in found(world, "Room 5")
    assert "Kettle Hymn" not in found(world, "Room 5")  # not in the set of that show
    assert found(world, "Room 6") == [str(other)]
    now = state_of(set_of_show(one))
    change(one, replace(now, lines=(now.lines[1],)), base=1, by=world.tech)
    assert found(world, "zither") == []
    assert "Early Bus" not in found(world, "Room 5")


def found(world: World, words: str) -> list[str]:
    hits = search(world.production, words).hits
    return ["".join(part.text for part in hit.title) for hit in hits]
