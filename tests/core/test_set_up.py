"""The page behind a set-up link."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from core.models import Production, User
from core.services import first_person
from tests.support.world import World, make_user

PASSWORD = "a-long-stretch-of-cable"


@pytest.fixture
def tilda(db: None) -> User:
    return first_person.make_first_person(name="Tilda Marnock", email="Tilda@marnock.example ")


def path(person: User) -> str:
    return first_person.make_link(person).path


def begin(where: str, **more: Any) -> Any:
    data = {"password": PASSWORD, "name": "Low Ferry", "roles": ["engineer"], **more}
    return Client().post(where, data)


def test_looking_changes_nothing_and_is_kept_nowhere(tilda: User) -> None:
    where = path(tilda)
    for _ in range(2):
        response = Client().get(where)
        assert response.status_code == 200
        assert "no-store" in response.headers["Cache-Control"]
    tilda.refresh_from_db()
    assert not tilda.has_usable_password()


def test_it_makes_the_account_and_the_production_and_logs_in(tilda: User) -> None:
    response = begin(path(tilda))
    place = Production.objects.get()
    assert response.headers["Location"] == place.get_absolute_url()
    assert str(place) == "Low Ferry"
    assert set(place.memberships.values_list("user", "role")) == {
        (tilda.pk, "engineer"),
        (tilda.pk, "manager"),
    }
    tilda.refresh_from_db()
    assert tilda.check_password(PASSWORD)
    assert response.client.get(place.get_absolute_url()).status_code == 200


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"password": "short"}, "password"),
        ({"password": "password123"}, "password"),
        ({"name": ""}, "name"),
    ],
)
def test_what_is_wrong_is_said_and_the_link_stays_open(
    tilda: User, typed: dict[str, str], field: str
) -> None:
    where = path(tilda)
    response = begin(where, **typed)
    assert list(response.context["form"].errors) == [field]
    assert 'value="engineer"' in response.content.decode()
    assert not Production.objects.exists()
    assert begin(where).status_code == 302


def test_it_works_once_and_a_new_one_closes_it(tilda: User) -> None:
    old = path(tilda)
    new = path(tilda)
    assert Client().get(old).status_code == begin(old).status_code == 404
    assert begin(new).status_code == 302
    assert Client().get(new).status_code == begin(new).status_code == 404
    assert Production.objects.count() == 1


def test_it_ends_after_three_days(tilda: User, monkeypatch: pytest.MonkeyPatch) -> None:
    where = path(tilda)
    for days, status in ((2, 200), (4, 404)):
        later = datetime.now() + timedelta(days=days)  # noqa: DTZ005 - what Django’s tokens count in
        monkeypatch.setattr(first_person._Tokens, "_now", lambda self, at=later: at)
        assert Client().get(where).status_code == status


@pytest.mark.parametrize("where", ["/set-up/x/y/", "/set-up/____/a-b/", "/set-up/MTIz/a-b/"])
def test_an_invented_one_is_closed(db: None, where: str) -> None:
    response = Client().get(where)
    assert response.status_code == 404
    assert "manage.py first_person" in response.content.decode()


def test_it_opens_nobody_elses_account(world: World, tilda: User) -> None:
    """Neither one that came with an archive and has no password, nor by another’s token."""
    brought = make_user("Brought")
    brought.set_unusable_password()
    brought.save()
    token = path(tilda).split("/")[3]
    key = first_person.make_link(brought).path.split("/")[2]
    assert Client().get(f"/set-up/{key}/{token}/").status_code == 404
    assert Client().get(first_person.make_link(brought).path).status_code == 404


def test_somebody_with_a_password_gets_no_link(world: World) -> None:
    world.engineer.set_password(PASSWORD)
    world.engineer.save()
    with pytest.raises(ValidationError):
        first_person.make_link(world.engineer)
