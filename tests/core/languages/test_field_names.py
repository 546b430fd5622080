"""Fields that nobody named are called by translated words."""

from __future__ import annotations

import pytest
from django.utils import translation
from django.utils.functional import Promise

from core.languages import field_names
from rigs.models import Unit


def test_a_field_without_a_name_is_translated_when_it_is_shown() -> None:
    name = Unit._meta.get_field("maker").verbose_name
    assert isinstance(name, Promise)
    with translation.override("en"):
        assert str(name) == "maker"


@pytest.mark.parametrize("name", ["serial", "packed_in"])
def test_a_name_that_a_model_gives_is_left_to_it(name: str) -> None:
    assert str(Unit._meta.get_field(name).verbose_name) not in field_names.NAMES
