"""Rename and describe a production."""

from __future__ import annotations

import pytest

from core.models import Production
from tests.support.pages import as_user, at
from tests.support.world import World

NAMED = {"name": "The Longer Quiet", "about": "Nine people.", "version": 1}


def test_manager_renames(world: World) -> None:
    response = as_user(world.people["manager"]).post(at(world, "core:production_edit"), NAMED)
    assert response.headers["Location"] == at(world, "core:production")
    row = Production.objects.values("name", "about", "version").get(pk=world.production.pk)
    assert row == {"name": "The Longer Quiet", "about": "Nine people.", "version": 2}


@pytest.mark.parametrize("role", ["engineer", "tech", "player", "crew"])
def test_others_may_not(world: World, role: str) -> None:
    response = as_user(world.people[role]).post(at(world, "core:production_edit"), NAMED)
    assert response.status_code == 403
    assert "That is not yours to do" in response.content.decode()
    assert Production.objects.get(pk=world.production.pk).name == "The Long Quiet"


def test_outsider_gets_404(world: World) -> None:
    assert as_user(world.outsider).post(at(world, "core:production_edit")).status_code == 404
