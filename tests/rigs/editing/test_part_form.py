"""Forms of parts: what they hand to the gateway, and where refusals end up."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import QueryDict

from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.editing.kinds import ControlForm, InputForm
from rigs.editing.part_forms import PartForm
from rigs.editing.submit import attempt
from rigs.models import Control, Device, Input, Unit
from tests.support.posting import as_posted
from tests.support.world import World, make_world


def form_for(world: World, kind: type[PartForm], part: Any, /, **typed: str) -> PartForm:
    world.rig.refresh_from_db()
    return kind(world.rig, part, as_posted(kind(world.rig, part), typed))


def test_an_untouched_form_changes_nothing(world: World) -> None:
    form = form_for(world, InputForm, world.input)
    assert form.is_valid(), form.errors
    assert form.edits() == []


def test_only_what_was_typed_is_set(world: World) -> None:
    form = form_for(world, InputForm, world.input, distance_m="2 in", notes="Taped.")
    assert form.is_valid(), form.errors
    assert form.edits() == [
        Set(
            str(world.input.pk),
            "input",
            {
                "distance_m": Decimal("0.0508"),
                "distance_unit": "in",
                "notes": "Taped.",
            },
        )
    ]


def test_a_length_shown_rounded_does_not_move_by_being_sent_back(world: World) -> None:
    odd = Decimal("0.000396875")  # 1/64 in, shown as 0.016 in
    world.record(
        Set(str(world.input.pk), "input", {"distance_m": odd, "distance_unit": "in"}),
        reason=Reason(ReasonKind.ROOM, "Closer."),
    )
    world.input.refresh_from_db()
    form = form_for(world, InputForm, world.input, name="Bass")
    assert attempt(form, author=world.tech).done
    assert Input.objects.get().distance_m == odd


def test_units_and_devices_are_those_of_the_rig_and_in_use(world: World) -> None:
    elsewhere = make_world("Elsewhere")
    world.other_mic.retire()
    form = InputForm(world.rig, world.input)
    assert list(form.fields["device"].queryset) == [world.mic]  # type: ignore[attr-defined]
    assert list(form.fields["unit"].queryset) == [world.unit]  # type: ignore[attr-defined]
    assert elsewhere.unit in Unit.objects.all()


def test_a_retired_device_may_stay_where_it_is(world: World) -> None:
    world.mic.retire()
    form = form_for(world, InputForm, world.input, notes="Still there.")
    assert attempt(form, author=world.tech).done


def test_a_foreign_device_is_refused_at_its_field(world: World) -> None:
    foreign: Device = make_world("Elsewhere").mic
    form = form_for(world, InputForm, world.input, device=str(foreign.pk))
    assert not attempt(form, author=world.tech).done
    assert list(form.errors) == ["device"]


def test_a_setting_off_the_dial_is_refused_at_its_field(world: World) -> None:
    form = form_for(world, ControlForm, world.control, setting="6:00")
    assert not attempt(form, author=world.tech).done
    assert form.errors == {
        "setting": ["“6:00” points below the dial, which runs from 7:00 round to 5:00."]
    }


def test_a_microphone_without_reason_is_refused_at_the_reason(world: World) -> None:
    form = form_for(world, InputForm, world.input, device=str(world.other_mic.pk))
    outcome = attempt(form, author=world.tech)
    assert (outcome.done, outcome.status) == (False, 200)
    assert "needs a reason: a listening note" in form.errors["reason_kind"][0]
    assert Input.objects.get().device == world.mic


def test_a_kind_of_reason_without_words_is_refused_at_the_words(world: World) -> None:
    typed = {"device": str(world.other_mic.pk), "reason_kind": "failure"}
    form = form_for(world, InputForm, world.input, **typed)
    assert not attempt(form, author=world.tech).done
    assert form.errors == {"reason_words": ["Say in a few words what happened (something failed)."]}


def test_a_reason_makes_the_change(world: World) -> None:
    typed = {"device": str(world.other_mic.pk), "reason_kind": "hire", "reason_words": "Repair."}
    outcome = attempt(form_for(world, InputForm, world.input, **typed), author=world.tech)
    assert outcome.revision is not None
    assert (outcome.revision.reason_kind, outcome.revision.reason_words) == ("hire", "Repair.")
    assert Input.objects.get().device == world.other_mic


def test_a_form_that_does_not_say_what_it_was_opened_on_is_refused(world: World) -> None:
    for base in ("", "99", "-1", "x", "9" * 40):
        form = form_for(world, ControlForm, world.control, base=base, setting="3:00")
        assert not attempt(form, author=world.tech).done
        assert "base" in form.errors, base
    assert Control.objects.get().setting == "2:30"


def test_nothing_sent_is_nothing_changed(world: World) -> None:
    form = ControlForm(world.rig, world.control, QueryDict(""))
    assert not attempt(form, author=world.tech).done
    assert Control.objects.get().name == "Gain"
