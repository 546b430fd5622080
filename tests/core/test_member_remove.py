"""Take somebody out of the production; their words stay."""

from __future__ import annotations

from django.urls import reverse

from core.models import User
from rigs.models import Revision
from tests.support.pages import as_user, at, says
from tests.support.world import World


def test_removed_people_see_nothing_and_their_words_stay(world: World) -> None:
    url = at(world, "core:member_remove", world.tech.pk)
    response = as_user(world.people["manager"]).post(url, follow=True)
    assert says(response) == [f"{world.tech} is no longer in The Long Quiet. Their words stay."]
    assert as_user(world.tech).get(at(world, "core:production")).status_code == 404
    assert Revision.objects.filter(author=world.tech).count() == 1
    assert User.objects.filter(pk=world.tech.pk, is_active=True).exists()


def test_the_last_manager_stays(world: World) -> None:
    manager = world.people["manager"]
    response = as_user(manager).post(at(world, "core:member_remove", manager.pk), follow=True)
    assert says(response)[0].startswith("This is the only production manager.")
    assert response.redirect_chain == [(at(world, "core:member_edit", manager.pk), 302)]
    assert manager.memberships.count() == 1


def test_a_manager_may_leave_to_another(world: World) -> None:
    world.production.memberships.create(user=world.tech, role="manager")
    manager = world.people["manager"]
    response = as_user(manager).post(at(world, "core:member_remove", manager.pk))
    assert response.headers["Location"] == reverse("core:home")
    assert not manager.memberships.exists()


def test_who_may(world: World) -> None:
    url = at(world, "core:member_remove", world.tech.pk)
    assert as_user(world.engineer).post(url).status_code == 403
    assert as_user(world.outsider).post(url).status_code == 404
    assert as_user(world.people["manager"]).get(url).status_code == 405
    stranger = at(world, "core:member_remove", world.outsider.pk)
    assert as_user(world.people["manager"]).post(stranger).status_code == 404
    assert world.tech.memberships.count() == 1
