"""Links for guests: what is kept of them, when they open, who sees and closes them."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.hashers import check_password
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.urls import reverse

from core import clock
from core.guests.links import TRIES, end_of, share, shared_of, until_by_default
from core.models import GuestChange, GuestLink, GuestOpening, Leg, Show
from core.models.roles import Role
from core.services.members import add_roles, remove_member
from core.settings import PASSWORD_HASHERS
from tests.support.pages import as_user
from tests.support.world import World, make_world

WORD = "seven herons"


def link_to_rig(world: World, by=None, **more):
    values = {
        "production": world.production,
        "kind": "rig",
        "subject": world.rig.pk,
        "by": by or world.tech,
        "for_whom": "Hire firm",
        "until": date.today() + timedelta(days=3),
        "address": "/g/{}/".format,
    }
    return share(**(values | more))


def closed(response) -> bytes:
    assert response.status_code == 404
    # Beside the address and the token of the form that changes the colours.
    return re.sub(rb'value="[^"]*"', b"", response.content)


def test_the_secret_has_256_bits_and_only_its_digest_is_kept(world: World) -> None:
    made = link_to_rig(world, code=WORD)
    token = made.url.split("/")[2]
    assert len(token) == 43  # 256 bits in base64url without padding, RFC 4648 section 5
    stored = GuestLink.objects.get()
    assert stored.digest == hashlib.sha256(token.encode()).hexdigest()
    assert check_password(WORD, stored.code)
    assert PASSWORD_HASHERS[0].endswith("Argon2PasswordHasher")
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            rows = repr(cursor.fetchall())
            assert token not in rows, table
            assert WORD not in rows, table


def test_withdrawn_expired_foreign_and_made_up_are_refused_alike(world: World) -> None:
    client, never = Client(), closed(Client().get("/g/never-was-a-link/"))
    made = link_to_rig(world)
    assert client.get(made.url).status_code == 200
    with clock.set_to(made.link.expires_at):
        assert closed(client.get(made.url)) == never
    with clock.set_to(made.link.expires_at - timedelta(seconds=1)):
        assert client.get(made.url).status_code == 200
    GuestLink.objects.update(withdrawn_at=clock.now())
    assert closed(client.get(made.url)) == never
    assert closed(client.get(f"{made.url}rigs/{world.rig.pk}/")) == never
    assert client.get(f"{made.url}keep.json").status_code == 404
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on="2026-09-01", ends_on="2026-09-30"
    )
    show = Show.objects.create(leg=leg, held_on="2026-09-02", room="Hall")
    gone = link_to_rig(world, kind="inputs", subject=show.pk)
    assert client.get(gone.url).status_code == 200
    show.retire()
    assert closed(client.get(gone.url)) == never
    assert b"noindex" in never


def test_what_is_of_another_production_is_not_shared(world: World) -> None:
    own = make_world("Elsewhere")
    assert shared_of(own.production, "rig", world.rig.pk) is None
    with pytest.raises(ValidationError):
        link_to_rig(world, production=own.production, by=own.tech)
    page = reverse("core:share", args=[own.production.pk, "rig", world.rig.pk])
    assert as_user(own.tech).get(page).status_code == 404
    assert not GuestLink.objects.exists()


def test_the_end_of_a_day_is_that_of_the_service(settings) -> None:
    # 25 October 2026 has 25 hours in Brussels, where summer time ends (Directive 2000/84/EC).
    settings.TIME_ZONE = "Europe/Brussels"
    assert end_of(date(2026, 10, 25)) == datetime(2026, 10, 26, tzinfo=ZoneInfo("Europe/Brussels"))
    last, before = (end_of(date(2026, 10, day)).astimezone(UTC) for day in (25, 24))
    assert last - before == timedelta(hours=25)


def test_a_link_ends_after_the_show_unless_a_day_is_chosen(world: World) -> None:
    today = date.today()
    rig = shared_of(world.production, "rig", world.rig.pk)
    assert until_by_default(world.production, rig) == today + timedelta(days=14)
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on=today, ends_on=today + timedelta(days=9)
    )
    show = Show.objects.create(leg=leg, held_on=today + timedelta(days=4), room="Hall")
    inputs = shared_of(world.production, "inputs", show.pk)
    assert until_by_default(world.production, inputs) == today + timedelta(days=5)
    assert until_by_default(world.production, rig) == today + timedelta(days=5)
    for wrong in (today - timedelta(days=1), today + timedelta(days=367)):
        with pytest.raises(ValidationError):
            link_to_rig(world, until=wrong)


def test_a_word_is_asked_for_on_each_device_and_tries_are_few(world: World) -> None:
    made = link_to_rig(world, code=WORD)
    client, other = Client(), Client()
    asked = client.get(made.url)
    assert b"A word, please" in asked.content
    assert b"Bass main" not in asked.content
    assert client.get(f"{made.url}rigs/{world.rig.pk}/").content.count(b"Bass main") == 0
    assert client.get(f"{made.url}keep.json").status_code == 403
    assert client.post(made.url, {"word": "six herons"}).status_code == 403
    answer = client.post(made.url, {"word": f" {WORD} "})
    assert answer.status_code == 302
    cookie = answer.cookies["guest"]
    assert cookie["httponly"]
    assert cookie["path"] == made.url
    assert cookie["samesite"] == "Lax"
    assert WORD not in cookie.value
    assert b"Bass main" in client.get(made.url).content
    # The cookie of one link opens no other.
    second = link_to_rig(world, code=WORD)
    other.cookies["guest"] = cookie.value
    assert b"A word, please" in other.get(second.url).content
    # A member, too, and whatever key the form has: what is remembered of forms takes no try back.
    other.force_login(world.tech)
    for n in range(TRIES):
        wrong = {"word": "wrong one", "request_key": f"a-key-of-{n:03}"}
        assert other.post(second.url, wrong).status_code == 403
    refused = other.post(second.url, {"word": WORD})
    assert refused.status_code == 403
    assert b"quarter of an hour" in refused.content
    with clock.set_to(clock.now() + timedelta(minutes=16)):
        assert other.post(second.url, {"word": WORD}).status_code == 302


def test_whoever_leaves_takes_their_links_along(world: World) -> None:
    theirs, mine = link_to_rig(world, by=world.tech), link_to_rig(world, by=world.engineer)
    remove_member(production=world.production, user=world.tech)
    assert closed(Client().get(theirs.url))
    assert Client().get(mine.url).status_code == 200
    # Not even when they are let in again.
    add_roles(production=world.production, user=world.tech, roles=[Role.TECH])
    assert closed(Client().get(theirs.url))
    # Around the service, too, and for an account that was closed.
    world.production.memberships.filter(user=world.engineer).delete()
    assert closed(Client().get(mine.url))


def test_a_link_of_a_closed_account_opens_nothing(world: World) -> None:
    made = link_to_rig(world)
    type(world.tech).objects.filter(pk=world.tech.pk).update(is_active=False)
    assert closed(Client().get(made.url))


def test_day_and_count_of_openings_and_no_more(world: World) -> None:
    made = link_to_rig(world)
    client = Client()
    for _ in range(3):
        client.get(made.url)
    client.head(made.url)
    client.get(f"{made.url}rigs/{world.rig.pk}/inputs/{world.input.pk}/")
    row = GuestOpening.objects.get()
    assert row.count == 3
    assert {f.name for f in GuestOpening._meta.get_fields()} == {"id", "link", "day", "count"}


def test_the_sharer_sees_their_links_and_the_manager_all(world: World) -> None:
    link_to_rig(world, by=world.tech, for_whom="Of the tech")
    link_to_rig(world, by=world.engineer, for_whom="Of the engineer")
    page = reverse("core:guest_links", args=[world.production.pk])
    tech = as_user(world.tech).get(page).content.decode()
    assert "Of the tech" in tech
    assert "Of the engineer" not in tech
    boss = as_user(world.people[Role.MANAGER]).get(page).content.decode()
    assert "Of the tech" in boss
    assert "Of the engineer" in boss
    other = GuestLink.objects.get(for_whom="Of the engineer")
    close = reverse("core:guest_link_close", args=[world.production.pk, other.pk])
    assert as_user(world.tech).post(close).status_code == 404
    assert as_user(world.people[Role.MANAGER]).post(close).status_code == 302
    other.refresh_from_db()
    assert other.withdrawn_at
    words = GuestChange.objects.filter(link=other).order_by("at").values_list("words", flat=True)
    assert [w[0].split()[0] for w in words] == ["Shared", "The"]


def test_a_page_of_links_has_as_many_queries_for_one_as_for_many(
    world: World, django_assert_num_queries
) -> None:
    page = reverse("core:guest_links", args=[world.production.pk])
    client = as_user(world.engineer)
    link_to_rig(world, by=world.engineer)
    client.get(page)
    with django_assert_num_queries(10):
        client.get(page)
    for n in range(5):
        link_to_rig(world, by=world.engineer, for_whom=f"Guest {n}")
    with django_assert_num_queries(10):
        client.get(page)


def test_the_form_makes_a_link_and_shows_it_once(world: World) -> None:
    page = reverse("core:share", args=[world.production.pk, "rig", world.rig.pk])
    client = as_user(world.people[Role.PLAYER])  # whoever may read may share
    asked = client.get(page).content.decode()
    until = date.today() + timedelta(days=14)
    assert f'value="{until.isoformat()}"' in asked
    made = client.post(page, {"for_whom": "The house", "until": until.isoformat()})
    assert made.status_code == 200
    assert "no-store" in made.headers["Cache-Control"]
    text = made.content.decode()
    url = text.split('value="http://testserver')[1].split('"')[0]
    assert Client().get(url).status_code == 200
    refused = client.post(page, {"for_whom": "", "until": "2020-01-01"}).content.decode()
    assert "That day is over." in refused
    assert GuestLink.objects.count() == 1


def test_the_rig_is_shown_as_it_is_now(world: World) -> None:
    made = link_to_rig(world)
    assert "2:30" in Client().get(made.url).content.decode()
    world.turn("4:00")
    assert "4:00" in Client().get(made.url).content.decode()


def test_links_are_made_listed_and_closed_over_the_api(world: World) -> None:
    client = as_user(world.tech)
    address = f"/api/v1/productions/{world.production.pk}/guest-links/"
    body = {"kind": "rig", "subject": str(world.rig.pk), "for_whom": "Hire firm", "code": WORD}
    made = client.post(address, body, content_type="application/json")
    assert made.status_code == 201, made.content
    path = made.json()["url"].removeprefix("http://testserver")
    assert b"A word, please" in Client().get(path).content
    rows = client.get(address).json()["results"]
    assert [row["has_word"] for row in rows] == [True]
    assert path.split("/")[2] not in client.get(address).content.decode()
    assert as_user(world.engineer).get(address).json()["results"] == []
    one = f"{address}{rows[0]['id']}/"
    assert as_user(world.engineer).delete(one).status_code == 404
    assert client.delete(one).status_code == 204
    assert closed(Client().get(path))
    wrong = client.post(address, body | {"code": "short"}, content_type="application/json")
    assert wrong.status_code == 422
    assert "code" in str(wrong.json())
