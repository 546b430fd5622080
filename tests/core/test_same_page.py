"""What a view says of its parameters is true: the page is the same with and without them.

The header is that of the IETF's draft-ietf-httpbis-no-vary-search: a structured field in which
`params` is a list of strings.
"""

from __future__ import annotations

import re
from uuid import uuid4

import pytest

from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.world import World

HEADER = "No-Vary-Search"


def plain(html: str) -> str:
    """Without what differs in every answer, what is picked, and where a page leads afterwards."""
    for pattern in (
        r'name="csrfmiddlewaretoken" value="[^"]*"',
        r'name="page-made" content="[^"]*"',
        r'name="request_key" value="[^"]*"',
        r" open(?=>)",  # what is picked is unfolded, by core/js/prefill.js, too
        r" (?:checked|selected)(?:=\"\")?(?=[ >])",
        r'href="[^"]*">Back without saving',
        r'name="next" value="[^"]*"',
    ):
        html = re.sub(pattern, "", html)
    return html


def test_a_form_of_a_note_is_the_same_whatever_is_picked(world: World) -> None:
    client, url = as_user(world.tech), at(world, "notes:note_new", world.rig.pk)
    bare = client.get(url)
    assert bare.headers[HEADER] == 'params=("input" "unit" "session" "song" "show")'
    picked = client.get(f"{url}?input={world.input.pk}&unit={world.unit.pk}&session={uuid4()}")
    assert "checked" in picked.content.decode()
    assert plain(picked.content.decode()) == plain(bare.content.decode())


def test_which_rigs_play_is_the_same_wherever_one_came_from(world: World) -> None:
    show = make_show(world)
    client, url = as_user(world.tech), at(world, "rigs:show_rigs", show.pk)
    bare = client.get(url)
    assert bare.headers[HEADER] == 'params=("next")'
    came = client.get(f"{url}?next={at(world, 'core:production')}")
    assert plain(came.content.decode()) == plain(bare.content.decode())


@pytest.mark.parametrize("name", ["rigs:run_sheet", "rigs:index", "core:tour"])
def test_a_page_that_says_nothing_of_it_is_of_its_address_alone(world: World, name: str) -> None:
    assert HEADER not in as_user(world.tech).get(at(world, name)).headers


def test_each_answer_says_who_is_signed_in(world: World) -> None:
    client = as_user(world.tech)
    assert client.get(at(world, "core:tour")).headers["Signed-In"] == str(world.tech.pk)
    client.logout()
    # The worker, too, speaks the language of whoever is signed in.
    for url in ("/login/", at(world, "core:tour"), "/nowhere/", "/sw.js"):
        assert client.get(url).headers["Signed-In"] == "nobody"
    assert "Signed-In" not in client.get("/healthz").headers  # asks for nobody
