"""The printed report of a show says what was found; its text and square are read back by PDFium
and ZXing, which know nothing of how it was made."""

from __future__ import annotations

from typing import Any

import numpy as np
import pypdfium2
import pytest
from django.test import Client

from core import clock
from core.models import Show
from notes.linecheck.paper import report_pdf
from notes.linecheck.report import report
from notes.linecheck.services import Deviation, close, mark
from rigs.changes.edits import Set
from rigs.models import PanelCheck
from rigs.paper.pdf import Paper
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.squares import squares_in
from tests.support.world import World, make_device

ADDRESS = "http://127.0.0.1:8000/p/3f2a/shows/77b1/report/"


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world, town="Port Senner")


def text_of(pdf: bytes) -> str:
    pages = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)


def found(world: World, show: Show) -> None:
    ribbon = make_device(
        world.production,
        "Lath",
        principle="ribbon",
        pattern="figure8",
    )
    said = Deviation("failure", "Fell over at load-in; *not* #set page(fill: red).", ribbon)
    check = mark(show, world.input, state="deviates", by=world.tech, difference=said).line_check
    close(
        check,
        by=world.engineer,
        who_was_told="Ines Halloran.",
        to_repair="Hollow 2: the grille.\nThe short boom.",
    )


def test_it_says_what_was_found_who_was_told_and_what_to_repair(world: World, show: Show) -> None:
    found(world, show)
    text = text_of(report_pdf(show, report(show), address=ADDRESS, paper=Paper.A4))
    for said in (
        "4 Sep 2026 · The Weir, Port Senner",
        "1 input: 0 ok, 1 changed, 0 not used.",
        "7 Bass mic, Ines Halloran",
        "Fell over at load-in; *not* #set page(fill: red).",
        "Corvane Lath in place of Corvane Hollow 2",
        "Who was told Ines Halloran.",
        "Hollow 2: the grille.",
        "The short boom.",
        f"finished by {world.engineer}",
        "page 1 of",
    ):
        assert said in text, said
    for caution in report(show).deviates[0].mark.cautions:
        assert " ".join(caution.split()) in text


def test_it_says_which_panels_were_as_documented(
    world: World, show: Show, settings: Any, tmp_path: Any
) -> None:
    settings.MEDIA_ROOT = tmp_path
    photo = add_photo(world, about=world.unit.pk)
    add_pin(world, photo, world.control, cap_radius="0.1", cap_setting=world.control.setting)
    PanelCheck.objects.create(
        reference=photo,
        before=photo.image,
        image=photo.image,
        show=show,
        by_name="Ines",
        confirmed_at=clock.now(),
        confirmed_name="Ines Halloran",
        confirmed_settings={str(world.control.pk): world.control.setting},
        by_eye=["Depth"],
    )
    world.record(Set(str(world.control.pk), "control", {"setting": "4:00"}))
    url = at(world, "notes:show_report_pdf", show.pk)
    text = text_of(as_user(world.tech).get(url).content)
    assert "all as documented, Ines Halloran" in text
    assert "by eye: Depth; changed on record since: " in text


def test_empty_and_unfinished_it_says_so(world: World, show: Show) -> None:
    assert "No line check yet." in text_of(
        report_pdf(show, report(show), address=ADDRESS, paper=Paper.LETTER)
    )
    mark(show, world.input, state="absent", by=world.tech)
    text = text_of(report_pdf(show, report(show), address=ADDRESS, paper=Paper.A4))
    for said in (
        "not finished yet",
        "Nobody has noted yet what changed",
        "Nothing is written down",
    ):
        assert said in text


def test_the_square_opens_the_page_of_the_report(world: World, show: Show) -> None:
    found(world, show)
    page = pypdfium2.PdfDocument(report_pdf(show, report(show), address=ADDRESS, paper=Paper.A4))[0]
    picture = np.asarray(page.render(scale=3).to_numpy())
    assert squares_in(picture) == [ADDRESS]


def test_every_member_may_print_it(world: World, show: Show, client: Client) -> None:
    found(world, show)
    page = as_user(world.people["crew"]).get(at(world, "notes:show_report", show.pk))
    url = at(world, "notes:show_report_pdf", show.pk)
    assert f'href="{url}"' in page.content.decode()
    answer: Any = as_user(world.people["player"]).get(f"{url}?paper=us-letter")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    width = pypdfium2.PdfDocument(answer.content)[0].get_width()
    assert round(width) == 612  # Letter is 8.5 in of 72 points (ANSI Y14.1)
    client.force_login(world.outsider)
    assert client.get(url).status_code == 404
