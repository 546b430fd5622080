"""Change something because of a note: pick it, change it, with notes as the reason."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from notes.journal.services import settle
from notes.models import Note, ReasonLink
from notes.states import NoteState, with_state
from rigs.changes.edits import Retire
from rigs.models import Control, Input, Revision
from tests.support.listening import change_for, hear
from tests.support.world import HIRE, World, make_device, make_world


def input_url(world: World, note: Note) -> str:
    return reverse("notes:note_change_input", args=[world.production.pk, note.pk, world.input.pk])


def control_url(world: World, note: Note) -> str:
    return reverse(
        "notes:note_change_control", args=[world.production.pk, note.pk, world.control.pk]
    )


def typed(client: Client, url: str, **changes: Any) -> dict[str, Any]:
    """What a browser sends for the form as it stands, with `changes` typed."""
    form = client.get(url).context["form"]
    sent = {}
    for bound in form:
        value = bound.value()
        if value is True:
            value = "on"
        if value is not None and value is not False and value != "":
            sent[bound.html_name] = bound.field.prepare_value(value)
    return sent | changes


def test_the_pick_offers_inputs_and_controls_of_the_rig(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    text = client.get(
        reverse("notes:note_change", args=[world.production.pk, note.pk])
    ).content.decode()
    assert text.count(f'href="{input_url(world, note)}"') == 2  # where it was heard, and all
    assert f'href="{control_url(world, note)}"' in text
    assert "Head: Gain" in text


def test_a_swap_because_of_a_note(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = input_url(world, note)
    sent = typed(client, url, device=world.other_mic.pk, reason_words="Less of the box.")
    response = client.post(url, sent)
    revision = Revision.objects.get(number=2)
    assert response.headers["Location"] == note.get_absolute_url()
    assert [str(m) for m in get_messages(response.wsgi_request)] == [
        "Change 2 is made. Listen again and say how it turned out."
    ]
    assert Input.objects.get().device == world.other_mic
    assert (revision.reason_kind, revision.reason_words) == ("notes", "Less of the box.")
    assert [link.note for link in revision.because_of.all()] == [note]
    assert with_state(Note.objects.all()).get().state == NoteState.LED_TO_CHANGE  # type: ignore[attr-defined]


def test_a_placement_moves_because_of_a_note(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = input_url(world, note)
    client.post(url, typed(client, url, distance_m="12 cm", aimed_at="cone centre"))
    found = Input.objects.get()
    assert (str(found.distance_m.normalize()), found.distance_unit) == ("0.12", "cm")
    assert found.aimed_at == "cone centre"
    assert ReasonLink.objects.get().note == note


def test_a_control_is_turned_because_of_a_note(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    url = control_url(world, note)
    client.post(url, typed(client, url, setting="1:00"))
    assert Control.objects.get().setting == "1:00"
    assert ReasonLink.objects.get().note == note


def test_further_open_notes_are_ticked_as_reasons(client: Client, world: World) -> None:
    note, other = hear(world), hear(world, "Muddy.")
    done = settle(note=hear(world, "Loud."), words="It was the room.", by=world.tech)
    client.force_login(world.tech)
    url = control_url(world, note)
    offered = client.get(url).context["form"].fields["because"].queryset
    assert set(offered) == {note, other}
    client.post(url, typed(client, url, setting="1:00", because=[note.pk, other.pk]))
    assert {link.note for link in ReasonLink.objects.all()} == {note, other}
    refused = client.post(url, typed(client, url, setting="2:00", because=[done.pk]))
    assert set(refused.context["form"].errors) == {"because"}


def test_without_a_note_nothing_is_written_and_what_was_typed_is_kept(
    client: Client, world: World
) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = input_url(world, note)
    sent = typed(client, url, device=world.other_mic.pk, reason_words="Because.", because=[])
    response = client.post(url, sent)
    assert response.context["form"].errors == {"because": ["Tick the note that is the reason."]}
    assert "Because.</textarea>" in response.content.decode()
    assert Revision.objects.count() == 1


def test_a_form_that_changes_nothing_says_so_and_keeps_the_words(
    client: Client, world: World
) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = control_url(world, note)
    response = client.post(url, typed(client, url, reason_words="Warmer."))
    assert response.context["form"].non_field_errors() == [
        "Nothing is changed yet: it is like that already."
    ]
    assert "Warmer.</textarea>" in response.content.decode()


def test_a_setting_that_cannot_be_is_refused_at_its_field(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.tech)
    url = control_url(world, note)
    response = client.post(url, typed(client, url, setting="half past"))
    assert set(response.context["form"].errors) == {"setting"}
    assert "half past" in response.content.decode()


def test_the_same_thing_changed_meanwhile_shows_both_and_writes_neither(
    client: Client, world: World
) -> None:
    note = hear(world)
    third = make_device(world.production, "Selvage")
    client.force_login(world.engineer)
    url = input_url(world, note)
    sent = typed(client, url, device=world.other_mic.pk, reason_words="Less of the box.")
    world.swap(third, HIRE)
    response = client.post(url, sent)
    text = response.content.decode()
    assert response.status_code == 409
    for shown in ("Corvane Selvage", "Corvane Eskvane 4", "Ours is in repair.", str(world.tech)):
        assert shown in text
    assert "Less of the box.</textarea>" in text
    assert Input.objects.get().device == third
    assert not ReasonLink.objects.exists()


@pytest.mark.parametrize(("choice", "kept"), [("typed", "Eskvane 4"), ("now", "Selvage")])
def test_after_a_conflict_the_chosen_side_is_kept(
    client: Client, world: World, choice: str, kept: str
) -> None:
    note = hear(world)
    third = make_device(world.production, "Selvage")
    client.force_login(world.engineer)
    url = input_url(world, note)
    sent = typed(client, url, device=world.other_mic.pk, gain_db="31")
    world.swap(third, HIRE)
    client.post(url, sent)
    again = sent | {"base": 2, "asked-device": 1, "choice-device": choice}
    assert client.post(url, again).status_code == 302
    found = Input.objects.get()
    assert (found.device.name, str(found.gain_db.normalize())) == (kept, "31")
    assert ReasonLink.objects.get().note == note


def test_what_others_changed_elsewhere_is_merged(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    url = input_url(world, note)
    sent = typed(client, url, device=world.other_mic.pk)
    world.turn("1:00")
    assert client.post(url, sent).status_code == 302
    assert (Control.objects.get().setting, Input.objects.get().device) == ("1:00", world.other_mic)


def test_a_retired_input_is_not_changed(client: Client, world: World) -> None:
    note = hear(world)
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    client.force_login(world.tech)
    response = client.get(input_url(world, note))
    assert response.headers["Location"] == note.get_absolute_url()


def test_a_note_that_led_to_a_change_may_lead_to_another(client: Client, world: World) -> None:
    note = hear(world)
    change_for(world, note)
    client.force_login(world.tech)
    url = control_url(world, note)
    client.post(url, typed(client, url, setting="1:00"))
    assert with_state(Note.objects.all()).get().led_to_number == 3  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("who", "status"),
    [("engineer", 200), ("tech", 200), ("player", 403), ("crew", 403), ("manager", 403)],
)
def test_who_may_change_a_rig(client: Client, world: World, who: str, status: int) -> None:
    note = hear(world)
    client.force_login(world.people[who])
    pick = reverse("notes:note_change", args=[world.production.pk, note.pk])
    for url in (pick, input_url(world, note), control_url(world, note)):
        assert client.get(url).status_code == status


def test_parts_of_other_rigs_and_productions_are_404(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    client.force_login(world.tech)
    assert client.get(input_url(world, hear(other))).status_code == 404
    foreign = reverse(
        "notes:note_change_input", args=[world.production.pk, hear(world).pk, other.input.pk]
    )
    assert client.get(foreign).status_code == 404


def test_hostile_words_are_shown_as_words(client: Client, world: World) -> None:
    evil = "<script>x</script>"
    note = hear(world, evil)
    client.force_login(world.tech)
    text = client.get(control_url(world, note)).content.decode()
    assert evil not in text
    assert text.count("&lt;script&gt;x&lt;/script&gt;") >= 2
