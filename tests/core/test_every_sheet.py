"""Every PDF of the service, from the URL configuration itself: ISO 14289-1, asked of an independent
validator and condition by condition; both papers, and nothing that needs colour."""

from __future__ import annotations

from io import BytesIO

import page as validator
import pypdfium2
import pytest

from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.greys import coloured
from tests.support.matterhorn import failures
from tests.support.pages import as_user
from tests.support.world import World

# ISO 216 and the American letter, in points, whichever way they lie.
SIZES = {"a4": {595, 842}, "us-letter": {612, 792}}


def sheets(world: World) -> list[str]:
    """The addresses that answer with a PDF."""
    known = arguments_for(world) | {"format": "pdf"}
    own = {route for route, entry in ROUTES.items() if access_of(entry) != "public"}
    printed = (route for route in own if route.endswith((".pdf", ".<str:format>")))
    return sorted(address(route, known) for route in printed)


@pytest.mark.parametrize("paper", SIZES)
def test_every_sheet_is_pdf_ua_in_grey_on_both_papers(world: World, paper: str) -> None:
    fill(world)
    client, seen, wrong = as_user(world.engineer), 0, []
    for url in sheets(world):
        answer = client.get(url, {"paper": paper})
        if answer.headers["Content-Type"] != "application/pdf":
            assert answer.status_code in (302, 404), url
            continue
        seen += 1
        pdf = answer.content
        report = validator.validate_pdf_bytes(pdf, profile="ua1")
        assert report.rules.total > 100  # the profile was asked whole
        wrong += [f"{url}: {each.rule_id} {each.message}" for each in report.failures]
        wrong += [f"{url}: {each}" for each in failures(pdf)]
        wrong += [f"{url}: colour {each}" for each in set(coloured(pdf))]
        for page in pypdfium2.PdfDocument(BytesIO(pdf)):
            if {round(side) for side in page.get_size()} != SIZES[paper]:
                wrong.append(f"{url}: {page.get_size()}")
    assert seen >= 15
    assert not wrong, "\n".join(wrong)
