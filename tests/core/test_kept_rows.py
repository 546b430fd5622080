"""Rows of long tables are kept by what they show: language, type and each value make another."""

from __future__ import annotations

from typing import Any

import pytest
from django.template import Context, Template, TemplateSyntaxError
from django.test import Client, override_settings
from django.utils import translation
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy

from core.templatetags.kept import KeptDiffers
from rigs.models import Device
from tests.support.pages import at
from tests.support.world import HIRE, World

ROW = Template("{% load i18n %}{% kept a %}{{ a }} {% translate 'Devices' %}{% endkept %}")


def shown(template: Template, **values: Any) -> str:
    return str(template.render(Context(values)))


def test_a_row_is_rendered_once_for_what_it_shows() -> None:
    counted = Template("{% kept a %}{{ a }}{{ each }}{% endkept %}")
    times: list[int] = []

    def each() -> str:
        times.append(1)
        return ""

    with override_settings(KEPT_CHECKED=False):
        assert [shown(counted, a=a, each=each) for a in ("x", "x", "y")] == ["x", "x", "y"]
    assert len(times) == 2


@override_settings(KEPT_CHECKED=False)
def test_each_language_and_each_kind_of_value_has_its_own() -> None:
    for _ in range(2):
        with translation.override("de"):
            german = shown(ROW, a=1)
        assert german != shown(ROW, a=1) == "1 Devices"
        assert shown(ROW, a=True) == "True Devices"
        assert shown(ROW, a="<b>") == "&lt;b&gt; Devices"
        assert shown(ROW, a=mark_safe("<b>")) == "<b> Devices"
        assert shown(ROW, a=gettext_lazy("Devices")) == "Devices Devices"
        assert shown(ROW) == " Devices"


def test_what_is_shown_and_not_among_the_values_is_an_error_in_tests() -> None:
    short = Template("{% kept a %}{{ a }}{{ b }}{% endkept %}")
    assert shown(short, a=1, b=1) == "11"
    with pytest.raises(KeptDiffers):
        shown(short, a=1, b=2)


def test_records_and_nothing_are_no_values_to_keep_by(world: World) -> None:
    with pytest.raises(TemplateSyntaxError, match="World"):
        shown(ROW, a=world)
    with pytest.raises(TemplateSyntaxError, match="needs the values"):
        Template("{% kept %}{% endkept %}")


@override_settings(KEPT_CHECKED=False)
def test_the_list_of_devices_shows_what_was_changed(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    url = at(world, "rigs:devices")

    def page() -> str:
        return client.get(url).content.decode()

    assert "Hollow 2" in page()
    for changed in (
        {"name": "Hollow 3"},
        {"maker": "Quarrie"},
        {"pattern": "omni"},
        {"principle": "condenser"},
        {"phantom": True},
        {"form": "di"},
    ):
        before = page()
        Device.objects.filter(pk=world.mic.pk).update(**changed)
        assert page() != before, changed
    before = page()
    world.swap(world.other_mic, reason=HIRE)
    assert page() != before
