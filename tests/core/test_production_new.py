"""Start a production."""

from __future__ import annotations

from django.urls import reverse

from core.models import Production
from core.models.roles import Role
from core.services.productions import create_production
from tests.support.pages import as_user, says
from tests.support.world import make_user

NEW = reverse("core:production_new")


def roles_of(production: Production) -> list[str]:
    return sorted(production.memberships.values_list("role", flat=True))


def test_starter_gets_the_chosen_roles_and_is_manager(db: None) -> None:
    data = {"name": "Tanglewharf", "about": "Nine people.", "roles": ["engineer", "player"]}
    response = as_user(make_user("Ada")).post(NEW, data, follow=True)
    production = Production.objects.get()
    assert response.redirect_chain == [(reverse("core:production", args=[production.pk]), 302)]
    assert says(response) == ["Tanglewharf is set up. You are its production manager."]
    assert roles_of(production) == ["engineer", "manager", "player"]
    assert (production.name, production.about) == ("Tanglewharf", "Nine people.")


def test_no_role_chosen_still_makes_a_manager(db: None) -> None:
    as_user(make_user("Ada")).post(NEW, {"name": "Tanglewharf"})
    assert roles_of(Production.objects.get()) == ["manager"]


def test_a_name_is_needed_and_what_was_typed_stays(db: None) -> None:
    response = as_user(make_user("Ada")).post(NEW, {"name": " ", "about": "Nine people."})
    assert response.status_code == 200
    assert response.context["form"].errors == {"name": ["This field is required."]}
    assert "Nine people." in response.content.decode()
    assert not Production.objects.exists()


def test_manager_is_not_offered_because_it_comes_anyway(db: None) -> None:
    form = as_user(make_user("Ada")).get(NEW).context["form"]
    offered = [value for value, _ in form.fields["roles"].choices]
    assert offered == [role for role in Role if role != Role.MANAGER]


def test_service_takes_manager_named_twice(db: None) -> None:
    production = create_production(name="X", by=make_user("Ada"), roles=["manager", "tech"])
    assert roles_of(production) == ["manager", "tech"]
