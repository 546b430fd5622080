"""Trials in the pages: open, add, hear, choose, keep; what was rejected stays."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from notes.journal.services import settle
from notes.models import Alternative, Note, Trial
from notes.trials.decide import choose, leave_unchanged
from notes.trials.services import add_alternative
from rigs.models import Input, Revision
from tests.support.listening import hear, heard_alternative, open_a_trial
from tests.support.world import HIRE, World, make_device, make_world


def url(world: World, name: str, *more: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, *more])


def start_url(world: World) -> str:
    return url(world, "trial_new", world.rig.pk, world.input.pk)


def test_a_trial_is_opened_because_of_notes(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    response = client.post(start_url(world), {"question": "Less boom?", "because_of": [note.pk]})
    trial = Trial.objects.get()
    assert response.headers["Location"] == trial.get_absolute_url()
    assert (trial.input, trial.opened_by, list(trial.because_of.all())) == (
        world.input,
        world.tech,
        [note],
    )


def test_settled_notes_motivate_no_trial(client: Client, world: World) -> None:
    note = settle(note=hear(world), words="It was the room.", by=world.tech)
    client.force_login(world.tech)
    response = client.post(start_url(world), {"question": "Less boom?", "because_of": [note.pk]})
    assert response.status_code == 302
    assert list(Trial.objects.get().because_of.all()) == []


def test_the_note_one_comes_from_is_ticked(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    form = client.get(start_url(world) + f"?note={note.pk}").context["form"]
    assert form.initial["because_of"] == [str(note.pk)]


def test_a_refused_trial_keeps_what_was_typed(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    response = client.post(start_url(world), {"question": "", "because_of": [note.pk]})
    assert response.context["form"].errors == {"question": ["This field is required."]}
    assert f'value="{note.pk}"' in response.content.decode()
    assert "checked" in response.content.decode()


@pytest.mark.parametrize("who", ["player", "crew", "manager"])
def test_others_read_trials_and_run_none(client: Client, world: World, who: str) -> None:
    trial = open_a_trial(world)
    alternative = add_alternative(trial=trial, device=world.other_mic)
    client.force_login(world.people[who])
    page = client.get(trial.get_absolute_url()).content.decode()
    assert "Corvane Eskvane 4" in page
    for name, key in (
        ("trial_keep", trial.pk),
        ("trial_alternative_new", trial.pk),
        ("alternative_verdict", alternative.pk),
        ("trial_choose", alternative.pk),
    ):
        assert url(world, name, key) not in page
        assert client.post(url(world, name, key)).status_code == 403
    assert client.post(start_url(world)).status_code == 403


def test_an_alternative_is_added_with_a_placement(client: Client, world: World) -> None:
    trial = open_a_trial(world)
    client.force_login(world.tech)
    client.post(
        url(world, "trial_alternative_new", trial.pk),
        {"device": world.other_mic.pk, "aimed_at": "cone centre", "distance_m": "4 in"},
    )
    found = Alternative.objects.get()
    assert (found.device, found.aimed_at, found.distance_unit) == (
        world.other_mic,
        "cone centre",
        "in",
    )
    assert str(found.distance_m.normalize()) == "0.1016"  # 4 × 25.4 mm, the inch by definition
    assert "4 in" in client.get(trial.get_absolute_url()).content.decode()


def test_a_length_that_is_none_is_refused_at_its_field(client: Client, world: World) -> None:
    trial = open_a_trial(world)
    client.force_login(world.tech)
    response = client.post(
        url(world, "trial_alternative_new", trial.pk),
        {"device": world.other_mic.pk, "distance_m": "a hand"},
    )
    assert set(response.context["form"].errors) == {"distance_m"}
    assert 'value="a hand"' in response.content.decode()


def test_a_verdict_is_given_while_hearing(client: Client, world: World) -> None:
    alternative = add_alternative(trial=open_a_trial(world), device=world.other_mic)
    client.force_login(world.engineer)
    address = url(world, "alternative_verdict", alternative.pk)
    assert client.post(address, {"verdict": "rejected"}).context["form"].errors == {
        "words": ["This field is required."]
    }
    client.post(address, {"verdict": "rejected", "words": "Woolly."})
    page = client.get(alternative.trial.get_absolute_url()).content.decode()
    assert "Tried and rejected, because: Woolly." in page


def test_choosing_changes_the_input_and_shows_the_decision(client: Client, world: World) -> None:
    trial = open_a_trial(world, hear(world))
    chosen = heard_alternative(world, trial, world.other_mic)
    heard_alternative(world, trial, world.mic, words="Woolly.")
    client.force_login(world.engineer)
    response = client.post(
        url(world, "trial_choose", chosen.pk), {"decision": "Boom goes.", "base": 1}
    )
    assert response.headers["Location"] == trial.get_absolute_url()
    assert Input.objects.get().device == world.other_mic
    page = client.get(trial.get_absolute_url()).content.decode()
    assert '<blockquote translate="no">Boom goes.</blockquote>' in page
    assert "Tried and rejected, because: Woolly." in page
    assert url(world, "trial_choose", chosen.pk) not in page


def test_the_words_of_the_verdict_begin_the_decision(client: Client, world: World) -> None:
    chosen = heard_alternative(world, open_a_trial(world), world.other_mic, words="Clearer.")
    client.force_login(world.engineer)
    form = client.get(url(world, "trial_choose", chosen.pk)).context["form"]
    assert form.initial == {"base": 1, "decision": "Clearer."}


def test_somebody_changed_the_input_meanwhile(client: Client, world: World) -> None:
    trial = open_a_trial(world)
    chosen = heard_alternative(world, trial, world.other_mic)
    third = make_device(world.production, "Selvage")
    world.swap(third, HIRE, author=world.tech)
    client.force_login(world.engineer)
    address = url(world, "trial_choose", chosen.pk)
    response = client.post(address, {"decision": "Boom goes.", "base": 1})
    text = response.content.decode()
    assert response.status_code == 409
    assert "Someone else changed this input while you were deciding" in text
    assert "Corvane Selvage" in text
    assert str(world.tech) in text
    assert "Ours is in repair." in text
    assert "Boom goes.</textarea>" in text
    assert Input.objects.get().device == third
    assert client.post(address, {"decision": "Boom goes.", "base": 2}).status_code == 302
    assert Input.objects.get().device == world.other_mic
    assert 'name="base" value="2"' in text


def test_a_base_that_cannot_be_is_refused_in_words(client: Client, world: World) -> None:
    chosen = heard_alternative(world, open_a_trial(world), world.other_mic)
    client.force_login(world.engineer)
    response = client.post(
        url(world, "trial_choose", chosen.pk), {"decision": "Boom goes.", "base": 99}
    )
    assert response.status_code == 200
    assert "This page is out of step with the rig" in response.content.decode()
    assert Trial.objects.get().is_open


def test_a_device_retired_meanwhile_is_refused_and_the_words_are_kept(
    client: Client, world: World
) -> None:
    chosen = heard_alternative(world, open_a_trial(world), world.other_mic)
    world.other_mic.retire()
    client.force_login(world.engineer)
    response = client.post(
        url(world, "trial_choose", chosen.pk), {"decision": "Boom goes.", "base": 1}
    )
    text = response.content.decode()
    assert "Corvane Eskvane 4 is retired. Restore it first." in text
    assert "Boom goes.</textarea>" in text
    assert not Note.objects.exists()


def test_keeping_what_was_there(client: Client, world: World) -> None:
    note = hear(world)
    trial = open_a_trial(world, note)
    client.force_login(world.engineer)
    client.post(
        url(world, "trial_keep", trial.pk), {"decision": "Ours is better.", "settle_notes": "on"}
    )
    trial.refresh_from_db()
    note.refresh_from_db()
    assert (trial.decision, trial.revision) == ("Ours is better.", None)
    assert note.settled_words == "Ours is better."
    assert "The input stayed as it was." in client.get(trial.get_absolute_url()).content.decode()


def test_a_decided_trial_takes_nothing_more(client: Client, world: World) -> None:
    trial = open_a_trial(world)
    chosen = heard_alternative(world, trial, world.other_mic)
    leave_unchanged(trial=trial, words="Ours.", by=world.tech)
    client.force_login(world.engineer)
    refusal = f"{world.tech} has decided this trial: “Ours.” It stays as it is."
    sent = {
        url(world, "trial_keep", trial.pk): {"decision": "Mine."},
        url(world, "trial_choose", chosen.pk): {"decision": "Mine.", "base": 1},
        url(world, "trial_alternative_new", trial.pk): {"device": world.mic.pk},
        url(world, "alternative_verdict", chosen.pk): {"verdict": "possible", "words": "Mine."},
    }
    for address, data in sent.items():
        looked = client.get(address)
        assert looked.headers["Location"] == trial.get_absolute_url()
        assert refusal in [str(m) for m in get_messages(looked.wsgi_request)]
        answer = client.post(address, data)
        assert answer.context["form"].non_field_errors() == [refusal]
    assert Revision.objects.count() == 1
    assert client.post(sent.popitem()[0], {}).status_code == 200


def test_the_list_shows_what_was_rejected_and_narrows(client: Client, world: World) -> None:
    done = open_a_trial(world, question="Done?")
    chosen = heard_alternative(world, done, world.other_mic)
    heard_alternative(world, done, world.mic, words="Woolly.")
    choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    waits = open_a_trial(world, question="Open?")
    client.force_login(world.people["crew"])
    everything = client.get(url(world, "trials"))
    assert everything.context["page"].rows == [waits, done]
    assert "tried and rejected, because: Woolly." in everything.content.decode()
    for state, expected in (("open", [waits]), ("decided", [done])):
        response = client.get(url(world, "trials") + f"?state={state}&rig={world.rig.pk}")
        assert response.context["page"].rows == expected


def test_hostile_words_are_shown_as_words(client: Client, world: World) -> None:
    evil = "<b onclick=x>"
    trial = open_a_trial(world, hear(world, evil), question=evil)
    chosen = heard_alternative(world, trial, make_device(world.production, evil), words=evil)
    client.force_login(world.engineer)
    pages = [trial.get_absolute_url(), url(world, "trial_choose", chosen.pk)]
    choose_page = client.get(pages[1]).content.decode()
    choose(alternative=chosen, words=evil, by=world.tech, base=1)
    texts = [
        choose_page,
        *(client.get(p).content.decode() for p in (pages[0], url(world, "trials"))),
    ]
    for text in texts:
        assert evil not in text
        assert "&lt;b onclick=x&gt;" in text


def test_another_productions_trial_is_404(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    trial = open_a_trial(other)
    alternative = add_alternative(trial=trial, device=other.mic)
    client.force_login(world.engineer)
    for name in ("trial", "trial_keep", "trial_alternative_new"):
        assert client.get(url(world, name, trial.pk)).status_code == 404
    for name in ("alternative_verdict", "trial_choose"):
        assert client.get(url(world, name, alternative.pk)).status_code == 404
    foreign = url(world, "trial_new", world.rig.pk, other.input.pk)
    assert client.get(foreign).status_code == 404


@pytest.mark.parametrize("count", [1, 10, 100])
def test_queries_do_not_grow_with_the_trials(
    client: Client, world: World, count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        heard_alternative(world, open_a_trial(world, hear(world)), world.other_mic)
    client.force_login(world.engineer)
    with django_assert_num_queries(5):
        client.get(url(world, "trials"))
