"""Prints and files that a guest gets: no e-mail address in them, and codes that lead to their own
link. Read back by programs that know nothing of this one: the text of a PDF by PDFium, its codes by
ZXing, a workbook by openpyxl."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from uuid import UUID

import numpy as np
import openpyxl
import pypdfium2
import pytest
from django.test import Client

from core.guests.left_out import for_a_guest, given_out
from core.guests.links import shared_of
from core.models import Leg, Show
from notes.signing.requests import ask
from rigs.guests import OF_SHOWS
from tests.core.guests.shared import link_to
from tests.support.everything import fill
from tests.support.pages import as_user
from tests.support.squares import squares_in
from tests.support.world import World

MAIL = "mara.quill@hire-firm.example"
PARTS = ("mara.quill", "hire-firm")


@pytest.fixture
def show(world: World) -> Show:
    """Of a production with one of everything, and an address in what every list is headed by."""
    fill(world)
    show = Show.objects.live().get(leg__production=world.production)
    show.room = f"The Weir ({MAIL})"
    show.save()
    Leg.objects.filter(pk=show.leg_id).update(name=f"Autumn ({MAIL})")
    return show


def files_of(world: World, kind: str, subject: UUID) -> Iterator[tuple[str, str]]:
    """Each print and file that such a link opens: its own address, and that of members."""
    home = link_to(world, kind, subject)
    shared = shared_of(world.production, kind, subject)
    for path, opened in shared.opens.items():
        if opened.file and "photo" not in path and "sound" not in path:
            query = "".join(f"?{name}={value}" for name, value in opened.query.items())
            yield f"{home}{path.removeprefix(f'/p/{world.production.pk}/')}", f"{path}{query}"


def text_of(response) -> str:
    data, kind = response.getvalue(), response.headers["Content-Type"]
    if kind == "application/pdf":
        pages = pypdfium2.PdfDocument(data)
        return " ".join(page.get_textpage().get_text_range() for page in pages)
    if kind.startswith("text/csv"):
        return data.decode("utf-8-sig")
    book = openpyxl.load_workbook(io.BytesIO(data))
    cells = (str(cell.value) for sheet in book for row in sheet for cell in row)
    return " ".join([book.active.title, *cells])


def has_address(text: str) -> bool:
    """However a narrow column breaks it."""
    joined = re.sub(r"[^a-z.@-]", "", text)
    return any(part in joined for part in PARTS)


def test_no_print_and_no_file_of_a_guest_has_an_address(world: World, show: Show) -> None:
    guest, member = Client(), as_user(world.engineer)
    kinds = [*((kind, show.pk) for kind in OF_SHOWS), ("leg-backline", show.leg_id)]
    seen = 0
    for kind, subject in kinds:
        for own, path in files_of(world, kind, subject):
            answer = guest.get(own)
            assert answer.status_code == 200, own
            assert not has_address(text_of(answer)), f"{kind}: {path}"
            if answer.headers["Content-Type"] == "application/pdf":
                assert has_address(text_of(member.get(path))), path  # in its heading at least
            seen += 1
    assert seen >= 15


def test_the_rule_is_one_for_texts_however_they_are_packed() -> None:
    packed = {"said": [f"Ask {MAIL}.", ("mail＠weir.example", 7)], "drawn": MAIL.encode()}
    assert given_out(packed) is packed  # for members
    with for_a_guest():
        left = given_out(packed)
    assert left == {
        "said": ["Ask (e-mail left out).", ["(e-mail left out)", 7]],
        "drawn": b"(e-mail left out)",
    }
    assert given_out(packed) is packed


def codes_of(pdf: bytes) -> list[str]:
    page = pypdfium2.PdfDocument(pdf)[0]
    return squares_in(np.asarray(page.render(scale=3).to_pil().convert("RGB")))


def test_a_code_on_a_guests_print_opens_the_guests_own_page(world: World, show: Show) -> None:
    guest, found = Client(), 0
    for kind in ("inputs", "patch", "backline"):
        for own, path in files_of(world, kind, show.pk):
            if path.endswith(".pdf"):
                home = own[: own.index("/shows/") + 1]
                assert codes_of(guest.get(own).getvalue()) == [f"http://testserver{home}"], path
                (theirs,) = codes_of(as_user(world.engineer).get(path).getvalue())
                assert theirs.startswith(f"http://testserver/p/{world.production.pk}/")
                assert guest.get(home).status_code == 200
                found += 1
    assert found == 3


def test_a_players_copy_has_no_code_that_asks_them_to_log_in(world: World) -> None:
    head = world.rig.head_number
    token = ask(rig=world.rig, revision=head, by=world.engineer, address=lambda t: t).url
    Client().post(f"/sign/{token}/", {"decision": "signed", "words": ""})
    copy = Client().get(f"/sign/{token}/copy.pdf")
    assert copy.status_code == 200
    assert codes_of(copy.getvalue()) == []
