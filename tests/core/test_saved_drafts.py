"""The server says which draft is done with, and only then."""

from __future__ import annotations

from core.offline.drafts import COOKIE
from rigs.changes.edits import Retire
from rigs.models import Input
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World

DRAFT = {"draft_id": "0a1b2c3d-draft"}


def test_a_form_that_was_carried_out_names_its_draft(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    done = page.send(name="Snare", **DRAFT)
    assert done.response.cookies[COOKIE].value == DRAFT["draft_id"]
    assert done.response.cookies[COOKIE]["samesite"] == "Lax"
    assert not done.response.cookies[COOKIE]["httponly"]
    again = page.send(name="Rack", draft_id="another-draft")
    assert again.response.cookies[COOKIE].value == "0a1b2c3d-draft.another-draft"


def test_a_form_that_came_back_keeps_it(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    back = page.send(name="", **DRAFT)
    assert (back.status, COOKIE in back.response.cookies) == (200, False)


def test_the_log_in_of_an_ended_session_keeps_it(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    page.client.cookies.pop("sessionid")
    away = page.send(name="Snare", **DRAFT)
    assert (away.status, COOKIE in away.response.cookies) == (302, False)
    assert not Input.objects.filter(name="Snare").exists()


def test_what_is_sent_back_with_a_warning_keeps_it(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_new", world.unit))
    parts = [Retire(str(world.control.pk), "control"), Retire(str(world.unit.pk), "unit")]
    world.record(*parts, Retire(str(world.input.pk), "input"), reason=HIRE)
    away = page.send(name="Bass", **DRAFT)
    assert (away.status, COOKIE in away.response.cookies) == (302, False)


def test_an_id_that_is_none_is_not_repeated(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    done = page.send(name="Snare", draft_id="x; Path=/")
    assert (done.status, COOKIE in done.response.cookies) == (302, False)
