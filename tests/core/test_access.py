"""Who may do what: one table, asked by every view; a view that asks nobody is refused."""

from __future__ import annotations

from typing import Any, cast
from uuid import uuid4

import pytest
from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.test import RequestFactory

from core.access.context import May
from core.access.loaders import load_member, load_members
from core.access.middleware import DeclaredAccessMiddleware, declares_access
from core.access.policy import POLICY, Action, allowed
from core.access.urls import within
from core.access.views import production_view, public, signed_in
from core.models import Membership
from core.models.roles import Role
from tests.support.world import World, make_world

WRITERS = {
    Action.EDIT_RIG,
    Action.EDIT_DEVICES,
    Action.RUN_TRIAL,
    Action.ASK_SIGNATURE,
    Action.WRITE_HANDOVER,
}


@production_view(Action.READ, write=Action.INVITE)
def page(request: Any, number: int = 0) -> HttpResponse:
    return HttpResponse(f"{request.production} {number}")


def bare(request: HttpRequest) -> HttpResponse:
    return HttpResponse("open to all by mistake")


def call(world: World, who: Any, method: str = "get", **more: Any) -> Any:
    request = getattr(RequestFactory(), method)("/")
    request.user = who
    return page(request, production=more.pop("production", world.production.pk), **more)


def test_every_action_has_a_rule_and_members_may_read() -> None:
    assert set(POLICY) == set(Action)
    assert all(allowed([role], Action.READ) for role in Role)


def test_roles_add_up_and_nobody_may_nothing() -> None:
    assert allowed(["crew", "manager"], Action.INVITE)
    assert not any(allowed([], action) for action in Action)
    assert not any(allowed(["somebody"], action) for action in Action)


@pytest.mark.parametrize("action", sorted(WRITERS))
def test_only_engineers_and_techs_touch_the_gear(action: Action) -> None:
    assert POLICY[action] == {Role.ENGINEER, Role.TECH}


def test_templates_ask_the_same_table() -> None:
    may = May(frozenset({"crew"}))
    assert may["acknowledge"] is True
    assert may["edit_rig"] is False
    with pytest.raises(ValueError):
        may["edit_everything"]


def test_members_read_and_only_managers_write(world: World) -> None:
    assert call(world, world.people["crew"], number=7).content == b"The Long Quiet 7"
    assert call(world, world.people["manager"], "post").status_code == 200
    with pytest.raises(PermissionDenied):
        call(world, world.people["crew"], "post")


def test_an_outsider_cannot_tell_what_exists(world: World) -> None:
    for production in (world.production.pk, uuid4()):
        with pytest.raises(Http404) as caught:
            call(world, world.outsider, production=production)
        assert str(caught.value) == "No such production."


def test_membership_elsewhere_counts_for_nothing(world: World) -> None:
    other = make_world("Elsewhere")
    with pytest.raises(Http404):
        call(world, other.people["manager"])


def test_a_view_that_declares_nothing_is_refused(rf: RequestFactory) -> None:
    middleware = DeclaredAccessMiddleware(bare)
    with pytest.raises(ImproperlyConfigured) as caught:
        middleware.process_view(rf.get("/"), bare, (), {})
    assert str(caught.value) == f"{bare.__module__}.bare does not declare who may call it."


def test_declared_views_pass(rf: RequestFactory) -> None:
    for view in (page, signed_in(lambda request: bare(request)), public(lambda r: bare(r))):
        assert declares_access(view)


def test_all_roles_of_a_member_in_one_query(world: World, django_assert_num_queries: Any) -> None:
    Membership.objects.create(production=world.production, user=world.engineer, role="crew")
    with django_assert_num_queries(1):
        member = load_member(world.engineer, world.production.pk)
        assert member.production.name == "The Long Quiet"
    assert member.roles == {"engineer", "crew"}
    assert member.role_names == ["FOH engineer", "crew"]


def test_the_player_somebody_is(world: World) -> None:
    member = load_member(world.people["player"], world.production.pk)
    assert member.player_ids == {world.player.pk}


def test_productions_of_a_person_by_name(world: World) -> None:
    other = make_world("Another Act").production
    Membership.objects.create(production=other, user=world.engineer, role="crew")
    names = [member.production.name for member in load_members(world.engineer)]
    assert names == ["Another Act", "The Long Quiet"]


def test_addresses_within_a_production(world: World, rf: RequestFactory) -> None:
    request = cast(Any, rf.get("/"))
    request.production = world.production
    assert within(request, "core:tour") == f"/p/{world.production.pk}/tour/"
    leg = uuid4()
    assert within(request, "core:leg", leg) == f"/p/{world.production.pk}/tour/legs/{leg}/"
