"""The run sheet and the paper of a show follow the set of that show."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

import pypdfium2
import pytest
from django.db.models import F

from core import clock
from core.models import Leg, SetEntry, Show, ShowSet, Song
from core.sets.order import set_of_show
from rigs.checks.findings import Finding
from rigs.checks.load import benches
from rigs.checks.run import findings, stage_findings
from rigs.models import Rig
from rigs.paper.pdf import Paper
from rigs.revisions.record import record
from rigs.shows.stage import stage_of
from rigs.songs.run_sheet import changes_at, run_sheet
from rigs.songs.set_paper import ON_ONE_PAGE, desk_page, floor_page, sum_words
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World

Kind = SetEntry.Kind


@pytest.fixture
def songs(world: World) -> list[Song]:
    return [
        make_song(world, "Alder Ebb", 1, length_s=245, gap_s=20),
        make_song(world, "Gravel", 2, length_s=180, gap_s=40),
        make_song(world, "Lamps", 3, length_s=200, gap_s=60),
    ]


@pytest.fixture
def rig(world: World, songs: list[Song]) -> Rig:
    """Gravel alone is played on the second guitar."""
    rig, (_, second) = guitars(world, DROP_C, STANDARD)
    edits = [difference(rig, songs[1], "instrument", second)]
    record(rig, edits, author=world.tech, base=rig.head_number)
    return rig


@pytest.fixture
def show(world: World, songs: list[Song]) -> Show:
    dates = {"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 30)}
    leg = Leg.objects.create(production=world.production, name="Coast", **dates)
    return Show.objects.create(leg=leg, held_on=date(2026, 9, 5), room="Barn")


def play(show: Show, *rows: Any, target: int | None = None) -> None:
    own = ShowSet.objects.create(show=show, version=1, target_s=target)
    for position, (what, more) in enumerate(rows, start=1):
        if isinstance(what, Song):
            SetEntry.objects.create(set=own, song=what, position=position, **more)
        else:
            SetEntry.objects.create(set=own, kind=what, position=position, **more)


def test_changes_between_songs_follow_the_set_of_the_show(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    ebb, gravel, lamps = songs
    play(show, (gravel, {}), (ebb, {"cut": True}), (lamps, {}), (ebb, {"reprise": True}))
    sheet = run_sheet(world.production, show=show)
    assert [row.song.title for row in sheet.songs] == ["Gravel", "Lamps", "Alder Ebb"]
    # 30 s to change the guitar (common practice, no source) and 40 s of gap: it fits.
    assert [len(row.moves) for row in sheet.songs] == [1, 0, 0]
    assert sheet.warnings == ()
    # The production's own order has the change after Alder Ebb, in 20 s.
    usual = run_sheet(world.production)
    assert [move.before.title for _, move in usual.warnings] == ["Alder Ebb"]


def titles(found: Iterable[Finding], rule: str) -> list[str]:
    return [each.title for each in found if each.rule == rule]


def test_findings_of_a_show_follow_its_set(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    """30 s to change the guitar (common practice, no source): 20 s behind Alder Ebb are too few,
    40 s behind Gravel and 60 s behind Lamps are enough."""
    ebb, gravel, lamps = songs

    def found() -> list[str]:
        shown = Show.objects.select_related("leg__production").get(pk=show.pk)
        return titles(stage_findings(stage_of(shown)), "set_changes")

    # Without a set of its own it plays the songs of the production.
    change = "“Alder Ebb” to “Gravel”: change from “Guitar 1” to “Guitar 2” takes longer"
    assert [title.startswith(f"{world.player}: {change}") for title in found()] == [True]
    play(show, (gravel, {}), (lamps, {}), (ebb, {}))
    assert found() == []
    # The same songs in another order: now the change is behind Alder Ebb again.
    own = show.own_set
    own.entries.update(position=F("position") + 3)
    own.entries.filter(song=ebb).update(position=1)
    assert len(found()) == 1
    own.entries.filter(song=gravel).update(cut=True)
    assert found() == []


def test_findings_of_a_rig_follow_the_set_of_the_next_show(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    ebb, gravel, lamps = songs

    def found() -> list[str]:
        return titles(findings(benches([rig])[rig.pk]), "song_changes")

    Show.objects.filter(pk=show.pk).update(held_on=clock.now().date())
    assert len(found()) == 1
    play(show, (gravel, {}), (lamps, {}), (ebb, {}))
    assert found() == []
    # Once it is over, nobody plays that order any more.
    Show.objects.filter(pk=show.pk).update(held_on=clock.now().date() - timedelta(days=1))
    assert len(found()) == 1


def test_what_a_song_asks_of_strings_counts_though_the_next_show_leaves_it_out(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    Show.objects.filter(pk=show.pk).update(held_on=clock.now().date())
    play(show, (songs[2], {}))
    bench = benches([rig])[rig.pk]
    assert [piece.title for piece in bench.songs] == ["Alder Ebb", "Gravel", "Lamps"]
    assert [piece.title for piece in bench.in_order] == ["Lamps"]


def test_laying_the_changes_out_costs_twenty_queries(
    world: World, songs: list[Song], rig: Rig, show: Show, django_assert_max_num_queries: Any
) -> None:
    play(show, *((song, {}) for song in songs))
    shown = Show.objects.select_related("leg__production").get(pk=show.pk)
    with django_assert_max_num_queries(20):
        assert changes_at(shown, [world.rig, rig]).moves


def test_a_medley_leaves_no_time(world: World, songs: list[Song], rig: Rig, show: Show) -> None:
    ebb, gravel, lamps = songs
    play(show, (gravel, {}), (lamps, {"joined": True}), (ebb, {}))
    sheet = run_sheet(world.production, show=show)
    assert [move.needs[0].lacking for _, move in sheet.warnings] == [30]


def test_the_page_shows_cuts_breaks_notes_and_reprises(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    ebb, gravel, lamps = songs
    play(
        show,
        (ebb, {"note": "short intro", "length_s": 100}),
        (gravel, {"cut": True}),
        (Kind.ENCORE, {"title": "The encore"}),
        (lamps, {}),
        (ebb, {"reprise": True}),
    )
    url = f"{at(world, 'rigs:run_sheet')}?show={show.pk}"
    page = as_user(world.tech).get(url).content.decode()
    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    for words in ("short intro", "The encore", "Gravel cut", "reprise", "1:40"):
        assert words in text
    assert len(set(re.findall(r'id="(after-[^"]+)"', page))) == 2


def test_the_run_sheet_takes_as_many_queries_for_a_long_set(
    world: World, songs: list[Song], rig: Rig, show: Show
) -> None:
    client, url = as_user(world.tech), f"{at(world, 'rigs:run_sheet')}?show={show.pk}"
    play(show, (songs[0], {}))
    few = queries_of(client, url)
    own = show.own_set
    for n in range(20):
        song = make_song(world, f"Song {n}", n)
        SetEntry.objects.create(set=own, song=song, position=n + 2)
    assert queries_of(client, url) == few


def test_the_sum_says_what_is_over_or_left(songs: list[Song], show: Show) -> None:
    play(show, (songs[0], {}), (songs[1], {}), target=400)
    found = set_of_show(show)
    # 245 + 20 + 180 = 445
    assert sum_words(found) == "2 songs, 7:25 of 6:40: 0:45 over"


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
@pytest.mark.parametrize("count", [1, ON_ONE_PAGE, ON_ONE_PAGE + 8])
def test_the_stage_floor_has_one_page_up_to_sixteen_songs(
    world: World, show: Show, paper: Paper, count: int
) -> None:
    made = [make_song(world, f"A song of the harbour, {n}", n) for n in range(count)]
    play(
        show,
        (made[0], {"note": "short intro"}),
        *((song, {}) for song in made[1:-1]),
        (Kind.ENCORE, {"title": "Encore"}),
        *((song, {}) for song in made[-1:] if count > 1),
    )
    printed = floor_page(show, set_of_show(show), paper=paper)
    pages = len(pypdfium2.PdfDocument(printed))
    assert pages == 1 if count <= ON_ONE_PAGE else pages > 1
    text = " ".join(text_of(printed))
    assert ("goes on overleaf" in text) == (count > ON_ONE_PAGE)
    assert "A song of the harbour, 0" in text
    assert "short intro" in text
    assert b"pdfuaid" in printed


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_sixteen_long_titles_with_notes_still_fit(world: World, show: Show, paper: Paper) -> None:
    title = "What the Weir Said to the Harbour Master, {}"
    made = [make_song(world, title.format(n), n) for n in range(ON_ONE_PAGE)]
    play(show, *((song, {"note": "short intro, brass out"}) for song in made))
    printed = floor_page(show, set_of_show(show), paper=paper)
    assert len(pypdfium2.PdfDocument(printed)) == 1


def desk_text(show: Show) -> str:
    sheet = run_sheet(show.leg.production, show=show)
    return " ".join(text_of(desk_page(show, sheet, paper=Paper.A4)))


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
@pytest.mark.parametrize("count", [ON_ONE_PAGE, 40])
def test_the_desk_has_one_page_up_to_sixteen_songs(
    world: World, show: Show, paper: Paper, count: int
) -> None:
    title = "What the Weir Said to the Harbour Master, {}"
    made = [
        make_song(world, title.format(n), n, length_s=245, gap_s=20, tempo_bpm=104)
        for n in range(40)
    ]
    off = [
        difference(world.rig, song, "input", str(world.input.pk), "off")
        for song in made[:ON_ONE_PAGE:2]
    ]
    record(world.rig, off, author=world.tech, base=world.rig.head_number)
    note = {"note": "short intro, brass out, then straight into the bridge"}
    play(show, *((song, note) for song in made[:count]))
    pages = text_of(desk_page(show, run_sheet(show.leg.production, show=show), paper=paper))
    over = count > ON_ONE_PAGE
    assert (len(pages) > 1) is over
    assert ("More than one page: it goes on overleaf." in pages[0]) is over
    assert ("goes on on page 2" in pages[0]) is over
    assert f"Harbour Master, {count - 1}" in pages[-1]


def test_the_desk_page_has_all_that_is_known(songs: list[Song], show: Show) -> None:
    play(show, (songs[0], {"note": "short intro"}), (songs[1], {"cut": True}), target=300)
    text = desk_text(show)
    for words in ("4:05", "short intro", "cut", "1 song, 4:05 of 5:00: 0:55 left"):
        assert words in text


def test_paper_opens_and_the_api_reads(world: World, songs: list[Song], show: Show) -> None:
    client = as_user(world.tech)
    for name in ("rigs:set_floor_pdf", "rigs:set_desk_pdf"):
        answer = client.get(at(world, name, show.pk), {"paper": "us-letter"})
        assert answer.headers["Content-Type"] == "application/pdf"
    play(show, (songs[1], {}), (songs[0], {"cut": True}))
    found = client.get(f"/api/v1/shows/{show.pk}/set/").json()
    assert [(line["title"], line["number"]) for line in found["lines"]] == [
        ("Gravel", 1),
        ("Alder Ebb", None),
    ]
    run = client.get(f"/api/v1/shows/{show.pk}/run/").json()
    assert [row["line"]["title"] for row in run] == ["Gravel"]


def test_the_desk_page_says_which_inputs_a_song_leaves_out(
    world: World, songs: list[Song], show: Show
) -> None:
    play(show, (songs[0], {}), (songs[1], {}))
    assert "without" not in desk_text(show)
    off = difference(world.rig, songs[1], "input", str(world.input.pk), "off")
    record(world.rig, [off], author=world.tech, base=world.rig.head_number)
    assert f"{world.player}: without {world.input}" in desk_text(show)


def test_the_line_check_names_the_songs_of_tonight(
    world: World, songs: list[Song], show: Show
) -> None:
    off = [difference(world.rig, song, "input", str(world.input.pk), "off") for song in songs]
    record(world.rig, off, author=world.tech, base=world.rig.head_number)
    play(show, (songs[2], {}), (songs[0], {}), (songs[1], {"cut": True}))
    html = as_user(world.tech).get(at(world, "notes:line_check", show.pk)).content.decode()
    assert "Not used in Lamps, Alder Ebb" in html  # in tonight's order, without what is cut


def test_a_note_offers_the_songs_in_the_order_of_tonight(
    world: World, songs: list[Song], show: Show
) -> None:
    more = make_song(world, "Not played", 4)
    play(show, (songs[2], {}), (songs[0], {"cut": True}), (songs[1], {}))
    url = at(world, "notes:note_new", world.rig.pk)
    form = as_user(world.tech).get(url, {"show": str(show.pk)}).context["form"]
    _, *groups = form.fields["song"].choices
    assert [(name, [title for _, title in rows]) for name, rows in groups] == [
        ("Tonight", ["Lamps", "Gravel"]),
        ("Not in the set", [more.title]),
        ("Cut", ["Alder Ebb"]),
    ]
    # Elsewhere they are in the order of the production.
    plain = as_user(world.tech).get(url).context["form"]
    assert [title for _, title in plain.fields["song"].choices][1:3] == ["Alder Ebb", "Gravel"]


def test_the_api_changes_a_set_once(world: World, songs: list[Song], show: Show) -> None:
    client, url = as_user(world.tech), f"/api/v1/shows/{show.pk}/set/"
    found = client.get(url).json()
    first, second, third = found["lines"]
    keep = {"id": second["id"], "note": "short intro"}
    new = {"kind": "break", "title": "Break", "length_s": 600}
    sent = {"version": 0, "target_s": 900, "lines": [{"id": third["id"]}, new, keep]}
    key = {"HTTP_IDEMPOTENCY_KEY": '"set-of-the-barn"'}
    for _ in range(2):
        answer = client.put(url, sent, content_type="application/json", **key)  # type: ignore[arg-type]
        assert answer.status_code == 200, answer.json()
    assert [line["title"] for line in answer.json()["lines"]] == ["Lamps", "Break", "Gravel"]
    assert (answer.json()["version"], answer.json()["target_s"]) == (1, 900)
    assert answer.json()["lines"][2]["note"] == "short intro"
    # Somebody else, who wrote another note beside the same song before that.
    other, long = as_user(world.engineer), {"id": second["id"], "note": "long intro"}
    mine = {"version": 0, "lines": [{"id": first["id"]}, long, {"id": third["id"]}]}
    clash = other.put(url, mine, content_type="application/json")
    assert (clash.status_code, clash.json()["code"]) == (409, "changed_meanwhile")
    assert clash.json()["version"] == 1
    for wrong in (
        {"lines": [{"id": str(show.pk)}]},
        {"lines": [{"song": str(show.pk)}]},
        {"lines": [{"song": str(songs[0].pk)}, {"song": str(songs[0].pk)}]},
        {"lines": [{"id": first["id"]}, {"id": first["id"]}]},
    ):
        refused = client.put(url, {"version": 1, **wrong}, content_type="application/json")
        assert refused.status_code == 422, refused.json()
    assert client.get(url).json()["version"] == 1
    player = as_user(world.people["player"])
    assert player.put(url, sent, content_type="application/json").status_code == 403
