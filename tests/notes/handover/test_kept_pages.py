"""What a handover says is rendered once, for everybody who may read it and nobody else, and says
what it would say if it were rendered now.

In tests whatever is kept is made anew and compared (KEPT_CHECKED), so every test that opens a
handover twice looks at this, too.
"""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext

from core import clock
from core.kept.shelf import Shelf
from core.models import KeptResult, Leg, Player, User
from core.models.roles import Role
from notes.forgetting.forget import forget
from notes.forgetting.subject import member, musician
from notes.handover import said
from notes.handover.content import content_of, outline_of
from notes.handover.orders import ORDERS
from notes.handover.publish import publish
from notes.handover.state import find
from notes.models import Handover, PublishedHandover
from tests.core.guests.shared import link_to
from tests.notes.forgetting.support import somebody
from tests.notes.handover.published_support import note, words
from tests.notes.handover.support import legs, more_players
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World

LANGUAGES = [code for code, _ in settings.LANGUAGES]
# What differs from one answer to the next, or says when it was made.
_FRESH = re.compile(
    r'name="(csrfmiddlewaretoken|request_key)" value="[^"]*"|name="page-made" [^>]*'
)
MOST_QUERIES = 25


def text(client: Client, url: str, language: str = "") -> str:
    if language:
        client.cookies[settings.LANGUAGE_COOKIE_NAME] = language
    answer = client.get(url)
    assert answer.status_code == 200
    return _FRESH.sub("", answer.getvalue().decode())


def fresh(client: Client, url: str, language: str = "") -> str:
    """The page as it is where nothing is kept."""
    KeptResult.objects.all().delete()
    return text(client, url, language)


def told(world: World) -> tuple[Leg, PublishedHandover]:
    """A published handover with words, notes and changes, and what came after it."""
    autumn, winter = legs(world)
    more_players(world, 1)
    words(winter)
    note(world, "Too boomy. ada@example.com knows.")
    world.swap(world.other_mic, HIRE)
    made = publish(leg=winter, by=world.engineer)
    world.turn("3:00")
    return winter, made


def kept_words() -> str:
    bodies = KeptResult.objects.values_list("body", flat=True)
    return " ".join(json.dumps(json.loads(zlib.decompress(each))) for each in bodies)


@pytest.fixture(autouse=True)
def _one_moment() -> Iterator[None]:
    """The copy says until when it tells, to the minute."""
    with clock.set_to(clock.now()):
        yield


@pytest.mark.any_database
@override_settings(KEPT_CHECKED=False)
def test_what_is_kept_is_what_would_be_rendered_now_to_the_byte(world: World) -> None:
    """Over roles, languages, orders and cuts; whoever came before."""
    leg, made = told(world)
    urls = [made.get_absolute_url(), at(world, "notes:handover", leg.pk)]
    ways = list(product(urls, LANGUAGES, ORDERS, ("", "&long")))
    for place, (url, language, order, long) in enumerate(
        ways[::3]
    ):  # each of them, with most of the others
        # Each page is kept by somebody of another role than reads it.
        roles = list(Role)
        first, second = (roles[(place + n) % len(roles)] for n in (0, 3))
        address = f"{url}?for={order}{long}"
        want = fresh(as_user(world.people[second]), address, language)
        KeptResult.objects.all().delete()
        text(as_user(world.people[first]), address, language)
        assert KeptResult.objects.count() >= 2
        assert text(as_user(world.people[second]), address, language) == want


@pytest.mark.any_database
@override_settings(KEPT_CHECKED=False)
def test_a_guest_is_given_their_sections_and_a_member_all(world: World) -> None:
    leg, made = told(world)
    own = f"player-{world.player.pk}"
    for kind, subject, url in (
        ("handover", made.pk, made.get_absolute_url()),
        ("handover-copy", leg.pk, at(world, "notes:handover", leg.pk)),
    ):
        links = [link_to(world, kind, subject), link_to(world, kind, subject, parts=[own])]
        pages = [(Client(), link) for link in links] + [(as_user(world.tech), url)]
        want = [fresh(*page) for page in pages]
        KeptResult.objects.all().delete()
        for _ in range(2):
            assert [text(*page) for page in pages] == want
        whole, part, mine = want
        assert ["Player 0" in page for page in (whole, part, mine)] == [True, False, True]
        assert ["ada@example.com" in page for page in (whole, part, mine)] == [False, False, True]
        assert "Walk the room." not in part
        assert "<form" not in re.sub(r"<form[^>]*language.*?</form>", "", part, flags=re.DOTALL)


@override_settings(KEPT_CHECKED=False)
def test_marks_and_questions_are_never_kept(world: World) -> None:
    leg, made = told(world)
    url = made.get_absolute_url()
    crew, tech = (as_user(world.people[role]) for role in (Role.CREW, Role.TECH))
    text(crew, url)
    part = made.sections[0]
    crew.post(f"{url}read/", {"player": "", "digest": part["digest"]})
    crew.post(f"{url}ask/", {"player": "", "words": "Where is the loom?"})
    assert "you read it on" in text(crew, url)
    assert "you read it on" not in text(tech, url)
    assert "Where is the loom?" in text(tech, url)
    assert "loom" not in kept_words()
    assert "csrf" not in kept_words()
    assert "<form" not in kept_words()


@pytest.mark.parametrize("whose", ["account", "musician"])
@override_settings(KEPT_CHECKED=False)
def test_who_is_forgotten_is_gone_from_what_is_kept_at_once(world: World, whose: str) -> None:
    name = "Quorvexa Thistlemund"
    leg, winter = legs(world)
    if whose == "account":
        person: User | Player = somebody(world, name)
        words(winter, f"{name} knows the desk.")
    else:
        world.player.name = name
        world.player.save()
        person = world.player
    note(world)
    made = publish(leg=winter, by=world.engineer)
    urls = [made.get_absolute_url(), at(world, "notes:handover", winter.pk)]
    reader = as_user(world.people[Role.CREW])
    for url, long in product(urls, ("", "?long")):
        assert name in text(reader, f"{url}{long}")
    assert name in kept_words()
    subject = (
        member(world.production, person)
        if isinstance(person, User)
        else musician(world.production, person)
    )
    forget(subject, by=world.people[Role.MANAGER], asked_by="person", reason="a letter")
    assert not KeptResult.objects.exists()
    for url, long in product(urls, ("", "?long")):
        assert name not in text(reader, f"{url}{long}")
    instead = "… knows the desk." if isinstance(person, User) else "removed on request"
    assert instead in text(reader, made.get_absolute_url())
    assert name not in kept_words()


@override_settings(KEPT_CHECKED=False)
def test_publishing_anew_is_read_at_once_and_the_old_one_stays(world: World) -> None:
    leg, made = told(world)
    reader = as_user(world.people[Role.CREW])
    before = text(reader, f"{made.get_absolute_url()}?long")
    copy = text(reader, at(world, "notes:handover", leg.pk))
    Handover.objects.filter(leg=leg).update(opening="Mind the gap.")
    assert "Mind the gap." in text(reader, at(world, "notes:handover", leg.pk)) != copy
    newer = publish(leg=leg, by=world.engineer)
    assert "Mind the gap." in text(reader, newer.get_absolute_url())
    after = text(reader, f"{made.get_absolute_url()}?long")
    assert "A newer one is out" in after
    assert "A newer one is out" not in before
    sections = re.compile(r'<div class="frozen".*?<details class="disclosure ask"', re.DOTALL)
    assert sections.findall(after) == sections.findall(before)


@override_settings(KEPT_CHECKED=False)
def test_once_kept_a_page_asks_little_and_does_not_read_what_was_published(world: World) -> None:
    leg, made = told(world)
    copy = at(world, "notes:handover", leg.pk)
    for url in (made.get_absolute_url(), f"{made.get_absolute_url()}?long", copy, f"{copy}?long"):
        for language in ("en-gb", "ja"):
            client = as_user(world.engineer)
            text(client, url, language)
            with CaptureQueriesContext(connection) as asked:
                text(client, url, language)
            assert len(asked) <= MOST_QUERIES, url
            assert not any('"content"' in each["sql"] for each in asked)


@override_settings(KEPT_CHECKED=False)
def test_photos_of_a_shared_working_copy_do_not_make_it_anew(
    world: World, monkeypatch: Any
) -> None:
    leg, _ = told(world)
    link, guest = link_to(world, "handover-copy", leg.pk), Client()
    made: list[Leg] = []
    monkeypatch.setattr(said, "find", lambda leg: made.append(leg) or find(leg))
    for _ in range(3):
        text(guest, link)
    assert len(made) == 1
    world.turn("4:00")
    text(guest, link)
    assert len(made) == 2


def test_the_content_of_the_copy_is_kept_as_it_is_published(world: World) -> None:
    """Read back from the shelf it has the same digests, by which readers have read it."""
    leg, _ = told(world)
    shelf = Shelf(world.production.pk)
    assert outline_of(said.copy_content(shelf, leg)) == outline_of(content_of(find(leg)))
