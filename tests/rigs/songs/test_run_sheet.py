"""The run sheet: each song told against the one before, on the page and on paper."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pypdfium2
import pytest

from core.models import Leg, Player, Production, Research, Show, Song
from rigs.changes.edits import Add
from rigs.models import ChangeTimes, Rig
from rigs.paper.pdf import Paper
from rigs.revisions.record import create, record
from rigs.shows.rigs import choose, rigs_at
from rigs.songs.paper import sheet_of_run
from rigs.songs.run_sheet import run_sheet
from tests.rigs.paper.test_sheets import overprinted, strays, text_of
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World


@pytest.fixture
def songs(world: World) -> list[Song]:
    return [
        make_song(world, "Alder Ebb", 1, length_s=245, gap_s=20),
        make_song(world, "Gravel", 2, length_s=180, gap_s=None),
        make_song(world, "Lamps", 3, length_s=200),
    ]


@pytest.fixture
def rig(world: World, songs: list[Song]) -> Rig:
    """Gravel: the other guitar, its tone at 4:00, a cue, and the bass microphone not used."""
    rig, (_, second) = guitars(world, DROP_C, STANDARD)
    knob = uuid4()
    cue = difference(rig, songs[1], "cue", value="drive on")
    edits = [
        Add(str(knob), "control", {"unit": str(second), "name": "Tone", "setting": "2:00"}),
        difference(rig, songs[1], "control", knob, "4:00"),
        difference(rig, songs[1], "instrument", second),
        Add(cue.part, cue.kind, {**cue.fields, "at_s": 65}),
    ]
    record(rig, edits, author=world.tech, base=rig.head_number)
    world.record(difference(world.rig, songs[1], "input", world.input, "off"))
    return rig


def test_each_song_is_told_against_the_one_before(world: World, rig: Rig) -> None:
    sheet = run_sheet(world.production)
    low, gravel, lamps = sheet.songs
    assert [row.number for row in sheet.songs] == [1, 2, 3]
    assert low.parts == ()
    parts = {part.rig: part for part in gravel.parts}
    assert set(parts) == {rig, world.rig}
    guitar = parts[rig]
    assert (guitar.instrument, guitar.tuning, guitar.takes_up) == ("Guitar 2", STANDARD, "change")
    [turned] = guitar.controls
    assert (turned.control.text, turned.control.was_text, turned.usual) == ("4:00", "2:00", False)
    assert [(cue.at_s, cue.text) for cue in guitar.cues] == [(65, "drive on")]
    assert parts[world.rig].inputs_off == ("7 Bass mic",)
    back = {part.rig: part for part in lamps.parts}
    [again] = back[rig].controls
    assert (again.control.text, again.control.was_text, again.usual) == ("2:00", "4:00", True)
    assert (back[rig].instrument, back[rig].takes_up) == ("Guitar 1", "change")
    assert back[world.rig].inputs_on == ("7 Bass mic",)


def test_a_setting_that_stays_for_a_second_song_is_said_to_stay(
    world: World, songs: list[Song]
) -> None:
    world.record(*(difference(world.rig, s, "control", world.control, "4:00") for s in songs[:2]))
    second = run_sheet(world.production).songs[1]
    [each] = second.parts[0].controls
    assert (each.control.text, each.control.changed, each.usual) == ("4:00", False, False)


def test_times_and_warnings(world: World, rig: Rig) -> None:
    sheet = run_sheet(world.production)
    # 4:05 + 3:00 + 3:20 and the one gap that is known, 0:20.
    assert (sheet.seconds, sheet.whole) == (245 + 180 + 200 + 20, False)
    [(warned, move)] = sheet.warnings
    assert (warned, move.before.title, move.needs[0].lacking) == (rig, "Alder Ebb", 10)
    assert not sheet.stated
    ChangeTimes.objects.create(production=world.production, change_s=15)
    stated = run_sheet(world.production)
    assert (stated.times, stated.stated, stated.warnings) == ((15, 15), True, ())


def test_the_page(world: World, rig: Rig) -> None:
    client = as_user(world.people["crew"])
    text = " ".join(client.get(at(world, "rigs:run_sheet")).content.decode().split())
    for said in (
        "Guitar 2",
        STANDARD,
        "was 2:00",
        "drive on",
        "1:05",
        "Not used: 7 Bass mic",
        "Used again: 7 Bass mic",
        "1 too short",
        "10:45",
        "too short by 0:10",
        "was 4:00, as usual again",
        "not known",
        "common practice, no source",
    ):
        assert said in text, said
    songs = client.get(at(world, "core:songs")).content.decode()
    assert "too short by 0:10" in songs
    assert at(world, "rigs:run_sheet") in songs


def test_for_one_player(world: World, rig: Rig, songs: list[Song]) -> None:
    other = Player.objects.create(production=world.production, name="Tove", instrument="organ")
    Research.objects.create(
        song=songs[0],
        player=world.player,
        take="The thump.",
        from_s=40,
        to_s=70,
        written_by=world.engineer,
    )
    client, url = as_user(world.tech), at(world, "rigs:run_sheet")
    mine = client.get(f"{url}?player={world.player.pk}").content.decode()
    assert "The thump." in mine
    assert "0:40 to 1:10" in mine
    theirs = client.get(f"{url}?player={other.pk}").content.decode()
    assert "Guitar 2" not in theirs
    for wrong in ("x", uuid4()):
        assert client.get(f"{url}?player={wrong}").status_code == 404


def make_show(world: World, days: int = 1) -> Show:
    leg, _ = Leg.objects.get_or_create(
        production=world.production,
        name="Winter halls",
        starts_on=date(2026, 11, 1),
        ends_on=date(2026, 12, 31),
    )
    return Show.objects.create(leg=leg, held_on=date(2026, 11, days), room="Civic Hall")


class TestAtAShow:
    def test_only_the_rigs_that_play_there(self, world: World, rig: Rig, songs: list[Song]) -> None:
        """What usually plays, unless somebody said otherwise for that show."""
        fly = Rig(production=world.production, player=world.player, name="Fly", variant="fly")
        create(fly, author=world.tech)
        record(
            fly, [difference(fly, songs[0], "cue", value="case open")], author=world.tech, base=1
        )
        first, second = make_show(world, 1), make_show(world, 2)
        shown = {each.rig.pk: each.plays for each in rigs_at(second)}
        choose(second, shown=shown, playing={fly.pk, world.rig.pk}, by=world.tech)
        assert set(run_sheet(world.production).rigs) == {world.rig, rig, fly}
        assert set(run_sheet(world.production, show=first).rigs) == {world.rig, rig}
        there = run_sheet(world.production, show=second)
        assert set(there.rigs) == {world.rig, fly}
        assert {part.rig for row in there.songs for part in row.parts} == {world.rig, fly}
        assert there.warnings == ()  # the guitars' change is nobody's there

    def test_the_page_and_the_paper_say_it(self, world: World, rig: Rig) -> None:
        show = make_show(world)
        choose(
            show, shown={rig.pk: True, world.rig.pk: True}, playing={world.rig.pk}, by=world.tech
        )
        client, asked = as_user(world.tech), f"?show={show.pk}"
        card = client.get(show.leg.get_absolute_url()).content.decode()
        assert f"{at(world, 'rigs:run_sheet')}{asked}" in card
        page = " ".join(
            client.get(f"{at(world, 'rigs:run_sheet')}{asked}").content.decode().split()
        )
        assert "Run sheet, 1 Nov 2026 · Civic Hall" in page
        assert "Guitars stays out" in page
        assert f"{at(world, 'rigs:run_sheet_pdf')}{asked}" in page
        assert f'name="show" value="{show.pk}"' in page
        assert "Guitar 2" not in page
        made = client.get(f"{at(world, 'rigs:run_sheet_pdf')}{asked}").content
        text = " ".join(text_of(made))
        assert "Run sheet, 1 Nov 2026 · Civic Hall" in text
        assert "Guitars stays out." in text
        assert "Guitar 2" not in text

    def test_a_player_at_a_show(self, world: World, rig: Rig) -> None:
        show = make_show(world)
        asked = f"?player={world.player.pk}&show={show.pk}"
        answer = as_user(world.tech).get(f"{at(world, 'rigs:run_sheet')}{asked}")
        assert answer.context["sheet"].rigs
        assert "Guitar 2" in answer.content.decode()

    def test_a_show_of_nobody_here(self, world: World) -> None:
        other = Production.objects.create(name="Somebody else's")
        leg = Leg.objects.create(
            production=other, name="Leg", starts_on=date(2026, 11, 1), ends_on=date(2026, 11, 2)
        )
        show = Show.objects.create(leg=leg, held_on=date(2026, 11, 1), room="Barn")
        client = as_user(world.tech)
        for name in ("rigs:run_sheet", "rigs:run_sheet_pdf"):
            for wrong in ("x", uuid4(), show.pk):
                assert client.get(f"{at(world, name)}?show={wrong}").status_code == 404

    def test_queries_do_not_grow(self, world: World, rig: Rig, songs: list[Song]) -> None:
        client, show = as_user(world.tech), make_show(world)
        url = f"{at(world, 'rigs:run_sheet')}?show={show.pk}"
        few = queries_of(client, url)
        for _ in range(5):
            more, _ids = guitars(world, DROP_C, STANDARD)
            choose(show, shown={more.pk: True}, playing=set(), by=world.tech)
        assert queries_of(client, url) == few


def test_paper_says_what_the_page_says(world: World, rig: Rig) -> None:
    answer = as_user(world.tech).get(at(world, "rigs:run_sheet_pdf"))
    assert answer.headers["Content-Type"] == "application/pdf"
    text = " ".join(text_of(answer.content))
    for said in (
        "1 Alder Ebb",
        "4:05",
        "Gap 0:20",
        "Gap not known",
        "Change to: Guitar 2",
        STANDARD,
        "Cue: 1:05: drive on",
        "Guitar 2, Tone",
        "was 4:00, as usual again",
        "Not used: 7 Bass mic",
        "Used again: 7 Bass mic",
        "Too short.",
        "too short by 0:10",
        "retuning one string 0:15",
    ):
        assert said in text, said


@pytest.mark.parametrize("paper", list(Paper))
def test_a_part_of_any_length_goes_over_to_the_next_page(world: World, paper: Paper) -> None:
    """Nothing beyond the margins (typ/sheet.typ) and nothing over anything else. 40 controls drawn
    at 27 mm for three are 373 mm tall alone: no sheet is."""
    song = make_song(world, "Alder Ebb", 1)
    knobs = [uuid4() for _ in range(40)]
    said = "Drive off until the second bar, then on before the voice comes in again. "
    edits = [
        Add(
            str(knob),
            "control",
            {
                "unit": str(world.unit.pk),
                "name": f"Knob {n}",
                "setting": "2:00",
                "position": n,
            },
        )
        for n, knob in enumerate(knobs, start=2)
    ]
    edits += [difference(world.rig, song, "control", knob, "4:00") for knob in knobs]
    edits += [difference(world.rig, song, "cue", value=f"No {n}. {said * 5}") for n in range(1, 13)]
    edits.append(difference(world.rig, song, "cue", value="Unterbrechungslos" * 20))
    world.record(*edits)
    made = sheet_of_run(run_sheet(world.production), world.production, "Run sheet", paper=paper)
    pages = list(pypdfium2.PdfDocument(made))
    assert len(pages) > 2
    text = " ".join(text_of(made))
    assert all(f"Head, Knob {n} 4:00 was 2:00" in text for n in range(2, 42))
    assert all(f"Cue: No {n}." in text for n in range(1, 13))
    for page in pages:
        assert strays(page) == []
        assert overprinted(page) == []


@pytest.mark.parametrize(("role", "may"), [("tech", True), ("crew", False)])
def test_the_page_without_songs_says_what_it_is_for(world: World, role: str, may: bool) -> None:
    html = as_user(world.people[role]).get(at(world, "rigs:run_sheet")).content.decode()
    assert "No song in the set yet" in html
    assert ("Add the first song" in html) == may
    assert "Print as PDF" not in html


def test_paper_without_songs(world: World) -> None:
    answer = as_user(world.tech).get(at(world, "rigs:run_sheet_pdf"))
    assert "Run sheet" in " ".join(text_of(answer.content))


@pytest.mark.parametrize("name", ["rigs:run_sheet", "core:songs"])
def test_queries_do_not_grow(world: World, rig: Rig, songs: list[Song], name: str) -> None:
    Research.objects.create(song=songs[0], take="All.", written_by=world.engineer)
    client = as_user(world.tech)
    few = queries_of(client, at(world, name))
    for number in range(57):
        song = make_song(world, f"Song {number}", number + 4)
        edits = [difference(rig, song, "cue", value="on")]
        record(rig, edits, author=world.tech, base=rig.head_number)
        Research.objects.create(
            song=song, player=world.player, take="Some.", written_by=world.engineer
        )
    for _ in range(5):
        guitars(world, DROP_C, STANDARD)
    assert queries_of(client, at(world, name)) == few


class TestTimes:
    def test_state_and_change(self, world: World) -> None:
        client, url = as_user(world.tech), at(world, "rigs:change_times")
        answer = client.post(url, {"change_s": "0:25", "string_s": "", "version": 0}, follow=True)
        assert "How long changes take is saved." in answer.content.decode()
        row = ChangeTimes.objects.get()
        assert (row.change_s, row.string_s) == (25, None)
        answer = client.post(url, {"change_s": "40 s", "string_s": "10", "version": 0})
        assert "Now there: 0:25" in answer.content.decode()
        client.post(url, {"change_s": "40 s", "string_s": "10", "version": 1})
        row.refresh_from_db()
        assert (row.change_s, row.string_s) == (40, 10)

    @pytest.mark.parametrize("typed", ["soon", "-3", "2:00:00"])
    def test_what_is_no_time(self, world: World, typed: str) -> None:
        answer = as_user(world.tech).post(
            at(world, "rigs:change_times"), {"change_s": typed, "version": 0}
        )
        assert set(answer.context["form"].errors) == {"change_s"}
        assert not ChangeTimes.objects.exists()
