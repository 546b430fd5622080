"""A manager finds whom there is to forget: who left, and who never had an account."""

from __future__ import annotations

from datetime import timedelta

from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core import clock
from core.models import Membership, OneTimeLink, User
from core.services import invitations
from core.services.members import remove_member
from notes.forgetting.forget import forget
from notes.forgetting.subject import member
from notes.forgetting.tables import who_left
from tests.notes.forgetting.support import places_of, somebody
from tests.notes.forgetting.test_forget_guests import link_to
from tests.support.listening import hear
from tests.support.pages import as_user
from tests.support.world import World, make_user, make_world

NAME = "Quorvexa Thistlemund"


def page_of(world: World, role: str = "manager") -> str:
    answer = as_user(world.people[role]).get(f"/p/{world.production.pk}/people/left/")
    return answer.content.decode() if answer.status_code == 200 else str(answer.status_code)


def leave(world: World, person: User) -> None:
    remove_member(production=world.production, user=person)


def test_who_left_is_listed_until_forgotten(world: World) -> None:
    person = somebody(world, NAME)
    hear(world, "Their note.", by=person, said_by_player=None)
    assert NAME not in page_of(world)  # they are in it
    leave(world, person)
    User.objects.filter(pk=person.pk).update(asked_to_go_at=clock.now())
    page = page_of(world)
    address = f"/p/{world.production.pk}/people/{person.pk}/forget/"
    assert f'href="{address}">{NAME}</a>' in page
    assert "asked to be forgotten on" in page
    assert person.email not in page
    assert page_of(world, "engineer") == "403"
    manager = as_user(world.people["manager"])
    sent = {"asked_by": "person", "reason": "A letter.", "sure": "on", "words": "on"}
    assert manager.post(address, sent).status_code == 302
    assert not places_of(NAME)
    assert who_left(world.production) == []


def test_whoever_goes_on_elsewhere_is_not_listed_once_forgotten(world: World) -> None:
    """Fixed rows go on pointing at their account."""
    person = somebody(world, NAME)
    elsewhere = make_world("Elsewhere").production
    Membership.objects.create(production=elsewhere, user=person, role="tech")
    world.turn("2:00", author=person)
    leave(world, person)
    assert who_left(world.production) == [person]
    assert who_left(elsewhere) == []
    forget(member(world.production, person), by=None, asked_by="person", reason="A letter.")
    assert User.objects.get(pk=person.pk).is_active
    assert who_left(world.production) == []
    # Back for a night, and gone again: what came after is theirs to be forgotten, too.
    Membership.objects.create(production=world.production, user=person, role="tech")
    world.turn("3:00", author=person)
    leave(world, person)
    assert who_left(world.production) == [person]


def test_two_of_one_name_are_told_apart(world: World) -> None:
    two = [make_user(NAME), make_user("Another")]
    User.objects.update(name=NAME)
    for n, person in enumerate(two, 2):
        Membership.objects.create(production=world.production, user=person, role="tech")
        world.turn(f"{n}:00", author=person)
        leave(world, person)
    page = page_of(world)
    assert all(person.email in page for person in two)


def test_guests_are_listed_with_whether_a_link_is_open(world: World) -> None:
    for name in ("Open", "Closed"):
        link_to(world, "rig", world.rig.pk, name)
    world.production.guest_links.filter(for_whom="Closed").update(withdrawn_at=clock.now())
    said = page_of(world).partition('id="guests"')[2]
    closed, opened = said.partition(">Open</a>")[::2]
    assert ">Closed</a>" in closed
    assert "no link is open" in closed
    assert "a link is open until" in opened


def test_the_page_has_as_many_queries_for_many_as_for_one(world: World) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as found:
            page_of(world)
        return len(found)

    def some(n: int) -> None:
        person = somebody(world, f"Somebody {n}")
        hear(world, "Their note.", by=person, said_by_player=None)
        leave(world, person)
        link_to(world, "rig", world.rig.pk, f"Guest {n}")

    some(0)
    page_of(world)
    one = queries()
    for n in range(1, 6):
        some(n)
    assert queries() == one < 25


def test_where_an_invitation_went_is_forgotten_once_it_is_over(world: World) -> None:
    def invited(name: str, **more: object) -> OneTimeLink:
        made = invitations.invite(
            production=world.production,
            roles=["tech"],
            by=world.engineer,
            address=lambda token: f"https://notebook.example/{token}",
            email=f"{name}@quorvexa.example",
        )
        OneTimeLink.objects.filter(pk=made.link.pk).update(**more)
        return made.link

    now = clock.now()
    for name, more in (
        ("still", {}),
        ("lately", {"expires_at": now - timedelta(days=29)}),
        ("used", {"used_at": now}),
        ("withdrawn", {"withdrawn_at": now}),
        ("ended", {"expires_at": now - timedelta(days=31)}),
    ):
        invited(name, **more)
    call_command("forget_sent", verbosity=0)
    left = {link.details["email"].partition("@")[0] for link in OneTimeLink.objects.all()}
    assert left == {"still", "lately", ""}
    assert not places_of("used@quorvexa", "withdrawn@quorvexa", "ended@quorvexa")
