"""The printed handover says what was published; text, pictures, bookmarks and square read back by
PDFium and ZXing, which know nothing of how it was made."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import Leg
from notes.handover.print import handover_pdf
from notes.handover.publish import publish, read
from notes.models import Handover, PublishedHandover
from rigs.changes.edits import Set
from rigs.models import Photo, StoredPhoto
from rigs.paper.pdf import Paper
from rigs.photos.storage import path_of
from tests.notes.handover.support import legs, more_players
from tests.support.everything import fill
from tests.support.listening import change_for, hear
from tests.support.squares import squares_in
from tests.support.world import World

ADDRESS = "http://127.0.0.1:8000/p/3f2a/handovers/published/77b1/"


@pytest.fixture
def published(world: World) -> PublishedHandover:
    fill(world)
    change_for(world, hear(world, "It booms in the low E."))
    hear(world, "Still a little thin.")
    handover = Handover.objects.get()
    handover.opening, handover.people = "Listen to the room first.", "Greta, by phone."
    handover.cautions = "The hired head has no earth: do not use it."
    handover.save()
    publish(leg=Leg.objects.get(), by=world.engineer)
    return PublishedHandover.objects.order_by("-number").first()  # type: ignore[return-value]


def text_of(pdf: bytes) -> str:
    pages = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)


def test_it_says_what_was_published(world: World, published: PublishedHandover) -> None:
    text = text_of(handover_pdf(published, address=ADDRESS, paper=Paper.A4))
    for said in (
        "Listen to the room first.",
        "Greta, by phone.",
        "no earth: do not use it",
        "Ines Halloran",
        "Warm, woody, no clank.",
        "It booms in the low E.",
        "Gain",
        "Valve amplifiers hold dangerous",
        "Still a little thin.",
        "cone edge",
        f"change {world.rig.revisions.count()}",
        published.digest[:8],
        "page 1 of",
    ):
        assert said in text, said


def test_it_stays_what_it_was(world: World, published: PublishedHandover) -> None:
    before = text_of(handover_pdf(published, address=ADDRESS, paper=Paper.A4))
    world.turn("11:00")
    world.player.name = "Somebody Else"
    world.player.save()
    hear(world, "All new.")
    assert text_of(handover_pdf(published, address=ADDRESS, paper=Paper.A4)) == before


def _break_photo(how: str) -> None:
    """What a disc can do to the file of a photo."""
    path = path_of(StoredPhoto.objects.get().sha256)
    whole = default_storage.open(path).read()
    default_storage.delete(path)
    if how != "lost":
        broken = {"cut short": whole[: len(whole) // 2], "overwritten": b"no picture"}
        default_storage.save(path, ContentFile(broken.get(how, b"")))
    if how == "forbidden":
        Path(default_storage.path(path)).unlink()
        Path(default_storage.path(path)).mkdir()  # root may read any file, but no folder


@pytest.mark.parametrize("how", ["lost", "cut short", "overwritten", "emptied", "forbidden"])
def test_a_photo_that_cannot_be_read_is_a_sheet_that_says_so(
    client: Client, world: World, published: PublishedHandover, how: str
) -> None:
    _break_photo(how)
    client.force_login(world.people["crew"])
    url = reverse("notes:published_pdf", args=[world.production.pk, published.pk])
    printed = client.get(url)
    assert printed.status_code == 200
    assert "This picture cannot be read" in text_of(printed.content)
    assert client.get(f"{published.get_absolute_url()}?long").status_code == 200
    photo = Photo.objects.get()
    file = reverse("rigs:photo_file", args=[world.production.pk, world.rig.pk, photo.pk])
    if how in ("lost", "forbidden"):
        assert client.get(file).status_code == 404


def test_many_rigs_cost_no_more_queries_than_one(world: World) -> None:
    leg, winter = legs(world)
    one = publish(leg=leg, by=world.engineer)
    with CaptureQueriesContext(connection) as few:
        handover_pdf(one, address=ADDRESS, paper=Paper.A4)
    more_players(world, 5)
    world.turn("3:00")
    with CaptureQueriesContext(connection) as publishing:
        many = publish(leg=winter, by=world.engineer)
    with CaptureQueriesContext(connection) as found:
        text = text_of(handover_pdf(many, address=ADDRESS, paper=Paper.A4))
    assert len(read(many)["sections"]) == 6
    assert len(found) <= len(few) + 1 <= 9  # the change after the whole state on file
    more_players(world, 3)
    with CaptureQueriesContext(connection) as again:
        publish(leg=winter, by=world.engineer)
    # Reading what the one before said may take more, but not with the rigs.
    assert len(again) <= len(publishing) + 12
    for player in world.production.players.all()[:6]:
        assert player.name in text


def test_the_square_opens_the_live_page(published: PublishedHandover) -> None:
    page = pypdfium2.PdfDocument(handover_pdf(published, address=ADDRESS, paper=Paper.A4))[0]
    picture = np.asarray(page.render(scale=3).to_numpy())
    assert squares_in(picture) == [ADDRESS]


def test_bookmarks_lead_to_every_player(world: World, published: PublishedHandover) -> None:
    document = pypdfium2.PdfDocument(handover_pdf(published, address=ADDRESS, paper=Paper.LETTER))
    titles = [item.get_title() for item in document.get_toc()]
    assert "Ines Halloran" in titles
    assert "How it should sound" in titles
    assert document[0].get_size() == pytest.approx((612, 792), abs=1)


def test_one_player_alone(client: Client, world: World, published: PublishedHandover) -> None:
    client.force_login(world.people["crew"])
    url = reverse("notes:published_pdf", args=[world.production.pk, published.pk])
    one = client.get(url, {"player": str(world.player.pk)})
    assert one["Content-Type"] == "application/pdf"
    text = text_of(one.content)
    assert "Ines Halloran" in text
    assert "Listen to the room first." not in text
    assert client.get(url, {"player": "nobody"}).status_code == 404
    assert "Listen to the room first." in text_of(client.get(url).content)


def test_the_page_offers_both_sizes_of_paper(
    client: Client, world: World, published: PublishedHandover
) -> None:
    """A4 is 210 × 297 mm (ISO 216), Letter 8½ × 11 in (ANSI/ASME Y14.1); a point is 1/72 in."""
    client.force_login(world.people["crew"])
    html = client.get(published.get_absolute_url()).content.decode()
    whole, one = reverse("notes:published_pdf", args=[world.production.pk, published.pk]), "player"
    offered = [unescape(each) for each in re.findall(rf'href="({whole}[^"]*)"', html)]
    assert offered == [
        whole,
        f"{whole}?paper=us-letter",
        f"{whole}?{one}={world.player.pk}",
        f"{whole}?{one}={world.player.pk}&paper=us-letter",
    ]
    for address, size in zip(offered, [(595, 842), (612, 792)] * 2, strict=True):
        page = pypdfium2.PdfDocument(client.get(address).content)[0]
        assert page.get_size() == pytest.approx(size, abs=1), address


def test_what_is_not_there_is_said(world: World) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    made = publish(leg=legs(world)[0], by=world.engineer)
    text = text_of(handover_pdf(made, address=ADDRESS, paper=Paper.A4))
    assert "Nobody wrote opening words." in text
    assert "No rig was written down." in text
