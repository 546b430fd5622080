"""The printed handover is PDF/UA-1 (ISO 14289-1), says an independent validator (`page`, all the
rules of the profile that a program can check), and the conditions by which it usually fails are
looked for one by one."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import page
import pikepdf
import pytest
from django.core.management import call_command

from core.models import Player
from notes.handover.print import handover_pdf
from notes.models import PublishedHandover
from rigs.paper.pdf import Paper
from tests.support.greys import coloured
from tests.support.matterhorn import elements, failures

ADDRESS = "http://127.0.0.1:8000/p/3f2a/handovers/published/77b1/"


@pytest.fixture
def demonstration(db: None) -> PublishedHandover:
    call_command("demo", verbosity=0)
    return PublishedHandover.objects.order_by("-number").first()  # type: ignore[return-value]


@pytest.fixture
def whole(demonstration: PublishedHandover) -> bytes:
    return handover_pdf(demonstration, address=ADDRESS, paper=Paper.A4)


def test_the_demonstrations_handover_is_pdf_ua(
    demonstration: PublishedHandover, whole: bytes
) -> None:
    player = str(Player.objects.get(name="Ivo Tandeker").pk)
    one = handover_pdf(demonstration, address=ADDRESS, paper=Paper.LETTER, player=player)
    for pdf in (whole, one):
        report = page.validate_pdf_bytes(pdf, profile="ua1")
        assert report.rules.total > 100  # the profile was asked whole
        assert [(each.rule_id, each.message) for each in report.failures] == []
        assert failures(pdf) == []
    with pikepdf.open(BytesIO(whole)) as document:
        kinds = [str(each.S) for each in elements(document)]
        figures = [str(each.Alt) for each in elements(document) if str(each.S) == "/Figure"]
    # Square, dials, sketches, the kit from above, photos with pins: each says what it shows.
    for said in (
        "QR code: opens",
        "Controls of Valve head",
        "distance ",
        "The kit from above",
        "with numbered pins",
    ):
        assert any(said in alternative for alternative in figures), said
    assert {"/H1", "/H2", "/H3", "/H4", "/Table", "/TH", "/LI"} <= set(kinds)


def _spoilt(pdf: bytes, what: str) -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as document:
        root: Any = document.Root
        every = elements(document)
        if what == "language":
            del root["/Lang"]
        elif what == "title":
            root.ViewerPreferences.DisplayDocTitle = False
        elif what == "tree":
            del root["/StructTreeRoot"]
        elif what == "figure":
            del next(each for each in every if str(each.S) == "/Figure")["/Alt"]
        elif what == "heading":
            next(each for each in every if str(each.S) == "/H2").S = pikepdf.Name("/H5")
        elif what == "head":
            del next(each for each in every if str(each.S) == "/TH")["/A"]
        elif what == "metadata":
            del root["/Metadata"]
        document.save(out)
    return out.getvalue()


def test_what_is_looked_for_is_found(whole: bytes) -> None:
    """A check that cannot fail would be none."""
    for what, expected in (
        ("language", "11-006"),
        ("title", "07-002"),
        ("tree", "clause 7.1"),
        ("figure", "13-004"),
        ("heading", "14-003"),
        ("head", "15-003"),
        ("metadata", "06-001"),
    ):
        found = failures(_spoilt(whole, what))
        assert any(each.startswith(expected) for each in found), (what, found)


def test_it_works_in_black_and_white(whole: bytes) -> None:
    """Apart from the photos: every colour that a page sets is a grey."""
    assert coloured(whole) == []
