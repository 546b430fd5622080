"""What tests of shows begin with beside the world: a show, and the backline tech logged in."""

from __future__ import annotations

import pytest
from django.test import Client

from core.models import Show
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.world import World


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def tech(world: World) -> Client:
    return as_user(world.tech)
