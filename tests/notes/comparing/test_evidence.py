"""Clips tied to changes and alternatives: what is refused, where they are heard again."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from notes.comparing.evidence import compare_url, heard_of, tie_to_alternative, tie_to_change
from notes.models import AlternativeClip, ChangeClip, Clip
from rigs.models import Revision
from tests.support.clips_side_by_side import clip_of, noise
from tests.support.listening import change_for, hear, heard_alternative, open_a_trial
from tests.support.posting import as_posted
from tests.support.world import World, make_world


@pytest.fixture
def clips(world: World) -> list[Clip]:
    return [clip_of(world, noise(0.5, seed), f"Take {seed}") for seed in (1, 2)]


@pytest.fixture
def revision(world: World) -> Revision:
    return change_for(world, hear(world))


def tie(world: World, revision: Revision, clip: Clip, side: str) -> ChangeClip:
    return tie_to_change(revision=revision, clip=clip, side=side, by=world.tech)


def test_the_change_log_plays_before_and_after(
    world: World, client: Client, clips: list[Clip], revision: Revision
) -> None:
    tie(world, revision, clips[1], "after")
    tie(world, revision, clips[0], "before")
    client.force_login(world.engineer)
    place = world.production.pk
    for url in (
        reverse("notes:changes", args=[place]),
        reverse("rigs:revision", args=[place, world.rig.pk, revision.number]),
        reverse("rigs:rig_why", args=[place, world.rig.pk]),
    ):
        text = client.get(url).content.decode()
        assert text.count("<audio") == 2
        assert text.index("Before: <a") < text.index("After: <a")
        assert f"?clip={clips[0].pk}&amp;clip={clips[1].pk}" in text


def test_tying_again_moves_it_to_the_other_side(
    world: World, clips: list[Clip], revision: Revision
) -> None:
    tie(world, revision, clips[0], "before")
    tie(world, revision, clips[0], "after")
    assert ChangeClip.objects.get().side == "after"


def test_a_clip_of_another_rig_is_refused(world: World, revision: Revision) -> None:
    other = make_world("Elsewhere")
    with pytest.raises(ValidationError, match="another rig"):
        tie(world, revision, clip_of(other, noise(0.5), "Theirs"), "before")


def test_there_is_a_side_and_an_end(world: World, clips: list[Clip], revision: Revision) -> None:
    with pytest.raises(ValidationError, match="before the change or after"):
        tie(world, revision, clips[0], "during")
    for seed in range(10, 16):
        tie(world, revision, clip_of(world, noise(0.2, seed), f"Take {seed}"), "before")
    with pytest.raises(ValidationError, match="6 clips at most"):
        tie(world, revision, clips[0], "after")


def test_one_clip_alone_cannot_be_compared(
    world: World, clips: list[Clip], revision: Revision
) -> None:
    tie(world, revision, clips[0], "before")
    assert heard_of(revision).compare_url == ""
    assert compare_url(clips).count("clip=") == 2


def test_tied_and_untied_on_its_page(
    world: World, client: Client, clips: list[Clip], revision: Revision
) -> None:
    client.force_login(world.tech)
    url = reverse("notes:change_clips", args=[world.production.pk, world.rig.pk, revision.number])
    assert client.get(url).status_code == 200
    assert client.post(url, {"clip": clips[0].pk, "side": "before"}).status_code == 302
    assert [each.clip for each in revision.heard.all()] == [clips[0]]
    answer = client.post(url, {"clip": clips[0].pk})
    assert "Say whether it is from before the change or after it." in answer.content.decode()
    assert answer.context["form"]["clip"].value() == str(clips[0].pk)  # what was chosen is kept
    client.post(url, {"clip": clips[1].pk, "side": "after"})
    tied = client.get(url).context["tied"]
    assert [each.side for each in tied] == ["before", "after"]
    client.post(url, {"untie": clips[1].pk})
    assert client.post(url, {"untie": clips[0].pk}).status_code == 302
    assert not revision.heard.exists()
    assert client.post(url, {"untie": clips[0].pk}).status_code == 404
    assert Clip.objects.count() == 2


def test_chosen_while_the_change_is_made(world: World, client: Client, clips: list[Clip]) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = reverse("notes:note_change_input", args=[world.production.pk, note.pk, world.input.pk])
    form = client.get(url).context["form"]
    typed = {"device": str(world.other_mic.pk), "heard_before": str(clips[0].pk)}
    sent = as_posted(form, typed)
    assert client.post(url, sent).status_code == 302
    (tied,) = ChangeClip.objects.select_related("revision")
    world.rig.refresh_from_db()
    assert (tied.clip, tied.side, tied.tied_by) == (clips[0], "before", world.tech)
    assert tied.revision.number == world.rig.head_number


def test_a_rig_without_clips_is_not_asked_for_any(world: World, client: Client) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = reverse("notes:note_change_input", args=[world.production.pk, note.pk, world.input.pk])
    assert "heard_before" not in client.get(url).context["form"].fields


def test_alternatives_are_heard_side_by_side(
    world: World, client: Client, clips: list[Clip]
) -> None:
    trial = open_a_trial(world, hear(world))
    first = heard_alternative(world, trial, world.mic)
    second = heard_alternative(world, trial, world.other_mic)
    tie_to_alternative(alternative=first, clip=clips[0], by=world.tech)
    client.force_login(world.tech)
    url = reverse("notes:alternative_clips", args=[world.production.pk, second.pk])
    assert client.post(url, {"clip": clips[1].pk}).status_code == 302
    page = client.get(trial.get_absolute_url())
    assert page.context["compare_url"].count("clip=") == 2
    assert page.content.decode().count("<audio") == 2
    tie_to_alternative(alternative=second, clip=clips[0], by=world.tech)
    assert AlternativeClip.objects.filter(alternative=second).count() == 2


def test_a_clip_of_another_input_is_no_alternative(world: World) -> None:
    trial = open_a_trial(world, hear(world))
    alternative = heard_alternative(world, trial, world.mic)
    other = make_world("Elsewhere")
    with pytest.raises(ValidationError, match="another input"):
        tie_to_alternative(
            alternative=alternative, clip=clip_of(other, noise(0.5), "x"), by=world.tech
        )


def test_queries_of_a_trial_do_not_grow_with_its_clips(world: World, client: Client) -> None:
    trial = open_a_trial(world, hear(world))
    alternative = heard_alternative(world, trial, world.mic)
    client.force_login(world.tech)
    asked = []
    for seed in range(5):
        clip = clip_of(world, noise(0.2, seed), f"Take {seed}")
        tie_to_alternative(alternative=alternative, clip=clip, by=world.tech)
        with CaptureQueriesContext(connection) as seen:
            client.get(trial.get_absolute_url())
        asked.append(len(seen))
    assert asked[1:] == asked[1:2] * 4
