"""One player on one page, and the kit on one page.

Text and pages are read back by PDFium, tags by qpdf and an independent validator of ISO 14289-1:
none knows how the sheets were made.
"""

from __future__ import annotations

import re
from datetime import date
from io import BytesIO

import page as validator
import pikepdf
import pypdfium2
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import Leg, Player, Show
from rigs.changes.edits import Set
from rigs.models import Control, Rig, ShowInput, Spare, Unit
from rigs.one_page.player import input_row
from rigs.shows.services import rows_of
from rigs.tonight.at_show import rig_at
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.full_rigs import fourteen_units, whole_kit, world_of
from tests.support.matterhorn import elements, failures
from tests.support.pages import as_user
from tests.support.world import World, make_device, make_rig

PAPERS = ("a4", "us-letter")


@pytest.fixture
def client(world: World) -> Client:
    return as_user(world.tech)


@pytest.fixture
def show(world: World) -> Show:
    days = {"starts_on": date(2030, 5, 1), "ends_on": date(2030, 5, 9)}
    leg = Leg.objects.create(production=world.production, name="Coast", **days)
    return Show.objects.create(leg=leg, held_on=date(2030, 5, 2), room="Barn")


def printed(
    client: Client, name: str, rig: Rig, paper: str = "a4", show: Show | None = None
) -> bytes:
    where = [rig.production_id, *([show.pk] if show else []), rig.pk]
    answer = client.get(reverse(f"rigs:{name}", args=where), {"paper": paper})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def smallest(pdf: bytes) -> float:
    """The smallest type on the pages, in points, as PDFium reads it; spaces are left out."""
    sizes = []
    for page in pypdfium2.PdfDocument(pdf):
        for each in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=1):
            sizes.append(each.get_font_size() * abs(each.get_matrix().a))
    return min(sizes)


def with_photo(world: World, rig: Rig) -> None:
    there = world_of(rig, world)
    photo = add_photo(there, "The board from above")
    rig.refresh_from_db()
    for control in Control.objects.filter(rig=rig)[:6]:
        add_pin(there, photo, control)
    rig.refresh_from_db()


@pytest.mark.parametrize("paper", PAPERS)
def test_fourteen_units_and_sixteen_songs_are_one_page(
    world: World, client: Client, show: Show, paper: str
) -> None:
    rig = fourteen_units(world)
    with_photo(world, rig)
    for pdf in (
        printed(client, "player_page", rig, paper),
        printed(client, "player_page_tonight", rig, paper, show),
    ):
        (text,) = text_of(pdf)
        assert "goes on" not in text
        for said in ("Unit number 1 ", "Unit number 14", "A song of the harbour, 16", "Photo"):
            assert said in text
        # About what a newspaper is set in: common practice, no source.
        assert smallest(pdf) >= 6


@pytest.mark.parametrize("paper", PAPERS)
def test_what_does_not_fit_goes_over_and_says_so(world: World, client: Client, paper: str) -> None:
    rig = fourteen_units(world, units=40, songs=30)
    pages = text_of(printed(client, "player_page", rig, paper))
    assert len(pages) > 1
    assert "More than one page: it goes on overleaf." in pages[0]
    assert "goes on on page 2" in pages[0]
    assert "goes on on" not in pages[-1]
    whole = " ".join(pages)
    assert all(f"Unit number {n} " in whole for n in range(1, 41))
    assert "A song of the harbour, 30" in whole


def test_a_dial_is_drawn_once_and_not_also_as_a_table(world: World, client: Client) -> None:
    rig = fourteen_units(world, songs=0)
    (text,) = text_of(printed(client, "player_page", rig))
    # One for each of fourteen units: its drawing has no words of its own.
    assert text.count("Drive 2:30") == 14
    assert text.count("2:30") == 14
    with pikepdf.open(BytesIO(printed(client, "player_page", rig))) as document:
        heads = [str(each.S) for each in elements(document) if str(each.S) == "/TH"]
    assert len(heads) == 4  # of the inputs alone


def test_cautions_stand_once(world: World, client: Client) -> None:
    rig = fourteen_units(world)
    for name in ("player_page", "recall"):
        text = " ".join(text_of(printed(client, name, rig)))
        said = re.findall(r"Caution\. ([^:]+: .{40})", text)
        words = [each.split(": ", 1)[1] for each in said]
        assert words
        assert len(words) == len(set(words))


def test_the_path_is_in_words(world: World, client: Client) -> None:
    rig = fourteen_units(world, units=3, songs=0)
    (text,) = text_of(printed(client, "player_page", rig))
    assert (
        "Unit number 1 → Unit number 2 (blue tape, 30 cm) → Unit number 3 (blue tape, 30 cm)"
        in text
    )


def test_a_page_of_tonight_has_what_differs(world: World, client: Client, show: Show) -> None:
    unit = world.unit
    where = reverse("rigs:unit_set_tonight", args=[world.production.pk, show.pk, unit.pk])
    answer = client.get(where)
    form = answer.context["form"]
    typed = {name: form[name].value() or "" for name in form.fields}
    typed |= {f"c-{world.control.pk}": "9:00"} if f"c-{world.control.pk}" in typed else {}
    control = next((name for name in typed if str(world.control.pk) in name), None)
    assert control, typed
    typed |= {control: "9:00", "lasts": "show", "why": "room", "words": "A small room."}
    assert client.post(where, typed).status_code == 302
    (text,) = text_of(printed(client, "player_page_tonight", world.rig, show=show))
    assert "Differs at 2 May 2030 · Barn" in text
    assert "Gain 9:00 was 2:30" in text
    (documented,) = text_of(printed(client, "player_page", world.rig))
    assert "9:00" not in documented


def test_what_an_input_has_instead_stands_beside_what_is_documented(
    world: World, client: Client, show: Show
) -> None:
    other = make_device(world.production, "Alder 2")
    ShowInput.objects.create(show=show, input=world.input, device=other, stand="clip", gain_db="31")
    (row,) = (each for each in rows_of(show, rigs=[world.rig.pk]) if each.differs)
    (entry,) = (e for e in rig_at(show, world.rig).view.inputs if e.id == str(world.input.pk))
    _, device, place, desk = input_row(entry, row)
    assert device == f"Tonight: {other} (documented: {world.mic})"
    assert place.startswith("Tonight: Stand clip (documented: ")
    assert desk.startswith("Tonight: Gain")
    assert " 31 " in desk
    # Each column of the row says it on paper, too; PDFium reads across them.
    (text,) = text_of(printed(client, "player_page_tonight", world.rig, show=show))
    assert text.count("Tonight:") == 3
    (documented,) = text_of(printed(client, "player_page", world.rig))
    assert "Tonight:" not in documented


def test_all_players_are_one_file_with_a_page_each(
    world: World, client: Client, show: Show
) -> None:
    def made() -> tuple[list[str], int]:
        url = reverse("rigs:players_tonight", args=[world.production.pk, show.pk])
        with CaptureQueriesContext(connection) as seen:
            answer = client.get(url)
        return text_of(answer.content), len(seen)

    made()
    pages, few = made()
    assert len(pages) == 1
    assert str(world.player) in pages[0]
    for name in ("Ash", "Elm", "Yew"):
        player = Player.objects.create(production=world.production, name=name, instrument="strings")
        make_rig(world.production, player, world.tech, f"{name} main")
    pages, many = made()
    assert len(pages) == 4
    assert [each for each in ("Ash", "Elm", "Yew") if any(each in page for page in pages)]
    assert many == few
    html = client.get(reverse("rigs:show_gear", args=[world.production.pk, show.pk])).content
    assert b"players.pdf" in html


def test_an_empty_rig_has_a_page(world: World, client: Client) -> None:
    rig = make_rig(world.production, world.player, world.tech, "Nothing yet")
    (text,) = text_of(printed(client, "player_page", rig))
    assert "No unit is documented yet." in text
    assert "No song is in the set." in text


@pytest.mark.parametrize("paper", PAPERS)
def test_a_kit_of_fourteen_is_one_page(
    world: World, client: Client, show: Show, paper: str
) -> None:
    rig = whole_kit(world)
    for pdf in (
        printed(client, "kit_page", rig, paper),
        printed(client, "kit_page_tonight", rig, paper, show),
    ):
        (text,) = text_of(pdf)
        assert "goes on" not in text
        assert text.count("A2, fundamental") == 9
        assert text.count("C#3 by lug") == 9
        assert "Kit mic 11" in text
        assert "as the drummer sits" in text
        assert smallest(pdf) >= 5


def test_a_larger_kit_goes_over_and_says_so(world: World, client: Client) -> None:
    pages = text_of(printed(client, "kit_page", whole_kit(world, drums=30, cymbals=10, mics=30)))
    assert len(pages) > 1
    assert "More than one page: it goes on overleaf." in pages[0]
    assert "Kit mic 29" in " ".join(pages)


def test_a_pitch_that_does_not_say_what_it_is_of_says_so(world: World, client: Client) -> None:
    rig = whole_kit(world, drums=1, cymbals=0, mics=0)
    head = Spare.objects.get(rig=rig, side="batter")
    world_of(rig, world).record(Set(str(head.pk), "spare", {"pitch_at": ""}))
    (text,) = text_of(printed(client, "kit_page", rig))
    assert "A2 (by lug or fundamental: not said)" in text
    assert "C#3 by lug" in text


def test_a_rig_without_a_drum_has_no_kit(world: World, client: Client) -> None:
    (text,) = text_of(printed(client, "kit_page", world.rig))
    assert "There is no drum in this rig." in text


def test_only_the_crew_of_the_production_gets_them(world: World) -> None:
    stranger = as_user(world.outsider)
    for name in ("player_page", "kit_page"):
        answer = stranger.get(reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk]))
        assert answer.status_code == 404


def test_the_pages_are_pdf_ua(world: World, client: Client, show: Show) -> None:
    """ISO 14289-1, asked of an independent validator, and condition by condition."""
    rig, kit = fourteen_units(world), whole_kit(world)
    with_photo(world, rig)
    for pdf in (
        printed(client, "player_page", rig),
        printed(client, "player_page_tonight", rig, "us-letter", show),
        printed(client, "kit_page", kit, "us-letter"),
    ):
        report = validator.validate_pdf_bytes(pdf, profile="ua1")
        assert report.rules.total > 100  # the profile was asked whole
        assert [(each.rule_id, each.message) for each in report.failures] == []
        assert failures(pdf) == []
        with pikepdf.open(BytesIO(pdf)) as document:
            assert str(document.Root.Lang) == "en"
            kinds = [str(each.S) for each in elements(document)]
        assert kinds.count("/H1") == 1


def test_queries_are_the_same_for_any_number(world: World, client: Client, show: Show) -> None:
    few, many = (fourteen_units(world, units=n, songs=n) for n in (2, 14))
    for name, at in (("player_page", None), ("player_page_tonight", show)):
        counts = []
        for rig in (few, many, few, many):
            with CaptureQueriesContext(connection) as seen:
                printed(client, name, rig, show=at)
            counts.append(len(seen))
        assert counts[2] == counts[3]


def test_the_pages_are_offered_where_a_crew_looks(world: World, client: Client, show: Show) -> None:
    kit = whole_kit(world)
    for rig, drums in ((world.rig, False), (kit, True)):
        documented = client.get(rig.get_absolute_url()).content.decode()
        there = [world.production.pk, show.pk, rig.pk]
        tonight = client.get(reverse("rigs:rig_tonight", args=there)).content.decode()
        for text, names, args in (
            (documented, ("player_page", "kit_page"), [world.production.pk, rig.pk]),
            (tonight, ("player_page_tonight", "kit_page_tonight"), there),
        ):
            page, of_kit = (reverse(f"rigs:{name}", args=args) for name in names)
            assert f'href="{page}"' in text
            assert f'href="{page}?paper=us-letter"' in text
            assert (f'href="{of_kit}"' in text) is drums


def test_what_a_pitch_is_of_needs_a_pitch(world: World) -> None:
    unit = Unit.objects.get(pk=world.unit.pk)
    head = Spare(unit=unit, sort="head", what="13 in", pitch_at="lug")
    with pytest.raises(Exception, match="Write the note"):
        head.tidy()
