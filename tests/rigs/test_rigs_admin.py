"""The administrator's pages: the same gateway, the same reasons, and no way around the history."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from rigs.changes.edits import Retire, Set
from rigs.models import Control, Device, Input, Revision
from tests.support.posting import as_posted
from tests.support.world import World, make_device


@pytest.fixture
def admin(world: World) -> Client:
    user = world.outsider
    user.is_staff = user.is_superuser = True
    user.save()
    client = Client()
    client.force_login(user)
    return client


def url(kind: str, part: object, page: str = "change") -> str:
    return reverse(f"admin:rigs_{kind}_{page}", args=[part.pk])  # type: ignore[attr-defined]


def send(admin: Client, kind: str, part: object, **typed: str):  # type: ignore[no-untyped-def]  # noqa: ANN201
    form = admin.get(url(kind, part)).context["adminform"].form
    return admin.post(url(kind, part), as_posted(form, typed))


def test_a_setting_is_put_right_with_a_reason(world: World, admin: Client) -> None:
    typed = {"setting": "3:00", "reason_kind": "correction", "reason_words": "Misread."}
    assert send(admin, "control", world.control, **typed).status_code == 302
    newest = Revision.objects.first()
    assert newest is not None
    assert (newest.number, newest.author, newest.reason_kind) == (2, world.outsider, "correction")
    assert Control.objects.get().setting == "3:00"


def test_a_microphone_without_reason_is_refused(world: World, admin: Client) -> None:
    answer = send(admin, "input", world.input, device=str(world.other_mic.pk))
    assert answer.status_code == 200
    assert "needs a reason: a listening note" in answer.content.decode()
    assert Input.objects.get().device == world.mic


def test_a_microphone_with_reason_is_swapped(world: World, admin: Client) -> None:
    typed = {"reason_kind": "failure", "reason_words": "It fell."}
    answer = send(admin, "input", world.input, device=str(world.other_mic.pk), **typed)
    assert answer.status_code == 302
    assert Input.objects.get().device == world.other_mic


def test_a_value_that_cannot_be_is_refused_at_its_field(world: World, admin: Client) -> None:
    answer = send(admin, "control", world.control, setting="6:00")
    assert "points below the dial" in answer.context["adminform"].form.errors["setting"][0]


def test_what_somebody_else_changed_meanwhile_is_not_overwritten(
    world: World, admin: Client
) -> None:
    form = admin.get(url("control", world.control)).context["adminform"].form
    world.record(Set(str(world.control.pk), "control", {"setting": "1:00"}))
    answer = admin.post(url("control", world.control), as_posted(form, {"setting": "4:00"}))
    assert "Someone else changed this meanwhile, and nothing was saved." in answer.content.decode()
    assert Control.objects.get().setting == "1:00"


@pytest.mark.parametrize("kind", ["rig", "unit", "control", "input"])
def test_every_part_opens_and_none_is_deleted(world: World, admin: Client, kind: str) -> None:
    part = getattr(world, kind)
    assert admin.get(url(kind, part)).status_code == 200
    assert admin.get(reverse(f"admin:rigs_{kind}_changelist")).status_code == 200
    assert admin.post(url(kind, part, "delete"), {"post": "yes"}).status_code == 403
    assert admin.get(reverse(f"admin:rigs_{kind}_add")).status_code == 403


def test_a_retired_part_can_only_be_looked_at(world: World, admin: Client) -> None:
    world.record(Retire(str(world.control.pk), "control"))
    assert admin.get(url("control", world.control)).status_code == 200
    assert admin.post(url("control", world.control), {"setting": "4:00"}).status_code == 403


def test_the_history_can_only_be_looked_at(world: World, admin: Client) -> None:
    for kind, row in (
        ("revision", Revision.objects.get()),
        ("keyframe", world.rig.key_frames.get()),
    ):
        assert admin.get(url(kind, row)).status_code == 200
        assert admin.post(url(kind, row), {"number": "9"}).status_code == 403
        assert admin.post(url(kind, row, "delete"), {"post": "yes"}).status_code == 403
        assert admin.get(reverse(f"admin:rigs_{kind}_add")).status_code == 403


def test_a_mentioned_device_keeps_its_name(world: World, admin: Client) -> None:
    page = admin.get(url("device", world.mic))
    assert "name" not in page.context["adminform"].form.fields
    assert page.context["adminform"].form.fields.keys() >= {"pattern", "notes"}


def test_a_device_that_no_rig_knows_may_be_renamed(world: World, admin: Client) -> None:
    spare = make_device(world.production, "Spare")
    form = admin.get(url("device", spare)).context["adminform"].form
    assert (
        admin.post(url("device", spare), as_posted(form, {"name": "Sparvane"})).status_code == 302
    )
    assert Device.objects.get(pk=spare.pk).name == "Sparvane"
