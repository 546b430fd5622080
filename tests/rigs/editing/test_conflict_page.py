"""Two people on one thing: the form comes back with both values, and nothing typed is lost."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rigs.changes.edits import Retire, Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Control, Input, Revision, Unit
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import HIRE, World

ROOM = Reason(ReasonKind.ROOM, "The gallery rings.")


def other_sets(world: World, kind: str, part: Any, /, reason: Reason = ROOM, **fields: Any) -> None:
    world.record(Set(str(part.pk), kind, fields), author=world.engineer, reason=reason)


def input_page(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "input_edit", world.input))


def test_other_fields_of_both_are_kept_without_a_question(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, stand="short boom")
    assert page.send(notes="Taped to the floor.").status == 302
    entry = Input.objects.get()
    assert (entry.stand, entry.notes) == ("short boom", "Taped to the floor.")


def test_the_same_field_comes_back_with_both_values_and_who_when_why(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="80 mm", reason_kind="wish", reason_words="Warmer.")
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert (panel.label, panel.typed, panel.now) == ("Distance", "80 mm", "50 mm")
    assert panel.who == world.engineer.name
    assert panel.why == "the room: The gallery rings."
    assert "Someone else changed this while you were typing" in back.html
    assert f"Now there, by {world.engineer.name}" in back.html
    assert Input.objects.get().distance_m == Decimal("0.05")


def test_the_page_comes_back_on_the_new_state_with_everything_typed(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"), stand="short boom")
    back = page.send(distance_m="80 mm", notes="Taped.", reason_kind="wish", reason_words="Warmer.")
    told = {n: back.sent[n] for n in ("base", "stand", "notes", "reason_kind", "reason_words")}
    assert told == {
        "base": "2",
        "stand": "short boom",
        "notes": "Taped.",
        "reason_kind": "wish",
        "reason_words": "Warmer.",
    }


def test_mine_stays(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"), stand="short boom")
    back = page.send(distance_m="3 in", notes="Taped.", reason_kind="wish", reason_words="Warm.")
    assert back.send(choice__distance_m="typed").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.distance_unit) == (Decimal("0.0762"), "in")
    assert (entry.stand, entry.notes) == ("short boom", "Taped.")


def test_theirs_stays(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="3 in", notes="Taped.", reason_kind="wish", reason_words="Warm.")
    assert back.send(choice__distance_m="now").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.distance_unit) == (Decimal("0.05"), "mm")
    assert entry.notes == "Taped."


def test_without_a_choice_nothing_is_saved_and_it_asks_again(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    again = page.send(distance_m="80 mm", reason_kind="wish", reason_words="Warmer.").send()
    assert again.status == 200
    form = again.response.context["form"]
    assert form.errors == {"distance_m": ["Choose which of the two stays."]}
    (panel,) = form.panels
    assert (panel.typed, panel.now, panel.who) == ("80 mm", "50 mm", world.engineer.name)
    assert again.send(choice__distance_m="typed").status == 302
    assert Input.objects.get().distance_m == Decimal("0.08")


def test_a_choice_made_stays_made_when_something_else_is_refused(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="80 mm", reason_kind="wish", reason_words="Warmer.")
    refused = back.send(choice__distance_m="typed", pan="400")
    assert list(refused.response.context["form"].errors) == ["pan"]
    assert refused.sent["choice-distance_m"] == "typed"
    assert refused.send(pan="-40").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.pan) == (Decimal("0.08"), -40)


def test_a_second_conflict_on_the_same_field_is_asked_again(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="80 mm", notes="Taped.", reason_kind="wish", reason_words="Warm.")
    other_sets(world, "input", world.input, distance_m=Decimal("0.06"), reason=HIRE)
    second = back.send(choice__distance_m="typed")
    assert second.status == 409
    (panel,) = second.response.context["form"].panels
    assert (panel.typed, panel.now) == ("80 mm", "60 mm")
    assert panel.why == "hired in place of ours: Ours is in repair."
    assert second.send(choice__distance_m="typed").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.notes) == (Decimal("0.08"), "Taped.")


def test_a_second_conflict_on_another_field_keeps_the_first_choice(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="80 mm", notes="Mine.", reason_kind="wish", reason_words="Warm.")
    other_sets(world, "input", world.input, notes="Theirs.")
    second = back.send(choice__distance_m="typed")
    assert second.status == 409
    assert [panel.name for panel in second.response.context["form"].panels] == ["notes"]
    assert second.sent["distance_m"] == "80 mm"
    assert second.send(choice__notes="now").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.notes) == (Decimal("0.08"), "Theirs.")


def test_theirs_once_chosen_is_theirs_when_another_field_clashes_next(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.05"))
    back = page.send(distance_m="80 mm", notes="Mine.", reason_kind="wish", reason_words="Warm.")
    other_sets(world, "input", world.input, notes="Theirs.")
    second = back.send(choice__distance_m="now")
    assert second.sent["distance_m"] == "50 mm"
    assert second.send(choice__notes="typed").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.notes) == (Decimal("0.05"), "Mine.")


def test_a_tick_changed_on_both_sides_alike_is_no_question(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, phantom=True)
    assert page.send(phantom="on").status == 302
    assert Revision.objects.count() == 2


def test_a_microphone_swapped_twice_names_both(world: World) -> None:
    page = input_page(world)
    third = type(world.mic).objects.create(
        production=world.production, name="Third", form="mic", principle="ribbon"
    )
    other_sets(world, "input", world.input, device=str(world.other_mic.pk))
    typed = {"device": str(third.pk), "reason_kind": "failure", "reason_words": "Ours fell."}
    back = page.send(**typed)
    (panel,) = back.response.context["form"].panels
    assert (panel.typed, panel.now) == ("Third", "Corvane Eskvane 4")
    assert back.send(choice__device="typed").status == 302
    assert Input.objects.get().device == third


def test_two_units_of_one_length_ask_once(world: World) -> None:
    page = input_page(world)
    other_sets(world, "input", world.input, distance_m=Decimal("0.0254"), distance_unit="in")
    back = page.send(distance_m="2.54 cm", reason_kind="room", reason_words="Same, other tape.")
    (panel,) = back.response.context["form"].panels
    assert (panel.typed, panel.now) == ("2.54 cm", "1 in")
    assert back.send(choice__distance_m="typed").status == 302
    entry = Input.objects.get()
    assert (entry.distance_m, entry.distance_unit) == (Decimal("0.0254"), "cm")


def test_a_part_retired_meanwhile_comes_back_with_what_was_typed(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_edit", world.control))
    world.record(Retire(str(world.control.pk), "control"), author=world.engineer)
    back = page.send(setting="4:00", name="Drive")
    assert back.status == 409
    assert f"“Gain” was retired by {world.engineer.name}," in back.html
    assert (back.sent["setting"], back.sent["name"]) == ("4:00", "Drive")
    assert "Restore it with this" in back.html
    assert back.send().status == 302
    control = Control.objects.get()
    assert (control.retired, control.name, control.setting) == (False, "Drive", "4:00")


def test_bringing_back_what_somebody_brought_back_already_asks(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_edit", world.control))
    world.record(Retire(str(world.control.pk), "control"), author=world.engineer)
    back = page.send(setting="4:00")
    as_user(world.engineer).post(at(world, "control_retire", world.control), {"back": "1"})
    second = back.send()
    assert second.status == 409
    (panel,) = second.response.context["form"].panels
    assert (panel.name, panel.typed, panel.now) == ("setting", "4:00", "2:30")
    assert second.send(choice__setting="typed").status == 302
    assert Control.objects.get().setting == "4:00"


def test_a_part_cannot_come_back_into_a_unit_that_is_gone(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_edit", world.control))
    other_sets(world, "input", world.input, unit=None)
    world.record(
        Retire(str(world.control.pk), "control"), Retire(str(world.unit.pk), "unit"), reason=HIRE
    )
    refused = page.send(setting="4:00").send()
    assert refused.status == 200
    assert "This rig has no such unit any more." in refused.html
    assert refused.sent["setting"] == "4:00"


def test_made_up_questions_do_not_break_the_page(world: World) -> None:
    page = input_page(world)
    junk = {"asked-device": "1", "choice-device": "typed", "device": "nonsense", "asked-x": "1"}
    answer = Page(page.client, page.url, page.client.post(page.url, page.sent | junk))
    assert answer.status == 200
    assert "device" in answer.response.context["form"].errors


def test_hostile_text_on_both_sides_is_escaped(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit_edit", world.unit))
    other_sets(world, "unit", world.unit, notes="<script>theirs()</script>")
    back = page.send(notes="<script>mine()</script>")
    assert back.status == 409
    assert "<script>theirs" not in back.html
    assert "<script>mine" not in back.html
    assert "&lt;script&gt;mine()" in back.html
    assert back.send(choice__notes="typed").status == 302
    assert Unit.objects.get().notes == "<script>mine()</script>"


def test_settings_of_different_controls_are_both_kept(
    world: World,
) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    other_sets(world, "unit", world.unit, name="Top")
    assert page.send(**{f"c__{world.control.pk}": "5:00"}).status == 302
    assert Control.objects.get().setting == "5:00"


def test_one_setting_turned_by_two_asks(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    other_sets(world, "control", world.control, setting="1:00")
    name = f"c-{world.control.pk}"
    back = page.send(**{name: "5:00"})
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert (panel.label, panel.typed, panel.now, panel.who) == (
        "Gain",
        "5:00",
        "1:00",
        world.engineer.name,
    )
    assert back.send(**{f"choice-{name}": "typed"}).status == 302
    assert Control.objects.get().setting == "5:00"


def test_theirs_of_a_setting(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    other_sets(world, "control", world.control, setting="1:00")
    name = f"c-{world.control.pk}"
    assert page.send(**{name: "5:00"}).send(**{f"choice-{name}": "now"}).status == 302
    assert Control.objects.get().setting == "1:00"


def test_a_control_retired_while_it_was_turned_can_come_back(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    world.record(Retire(str(world.control.pk), "control"), author=world.engineer)
    name = f"c-{world.control.pk}"
    back = page.send(**{name: "5:00"})
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert (panel.typed, panel.now) == ("5:00", "retired")
    assert back.send(**{f"choice-{name}": "typed"}).status == 302
    control = Control.objects.get()
    assert (control.retired, control.setting) == (False, "5:00")


def test_or_stay_away(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    world.record(Retire(str(world.control.pk), "control"), author=world.engineer)
    name = f"c-{world.control.pk}"
    assert page.send(**{name: "5:00"}).send(**{f"choice-{name}": "now"}).status == 302
    assert Control.objects.get().retired


def test_retiring_what_was_changed_meanwhile_shows_what_is_new(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_retire", world.control))
    other_sets(world, "control", world.control, setting="1:00")
    back = page.send()
    assert back.status == 409
    assert "Head, Gain: 2:30 → 1:00" in back.html
    assert not Control.objects.get().retired
    assert back.send().status == 302
    assert Control.objects.get().retired


def test_what_came_back_changed_is_not_overwritten_by_bringing_it_back(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_edit", world.control))
    world.record(Retire(str(world.control.pk), "control"), author=world.engineer)
    back = page.send(name="Drive")
    as_user(world.engineer).post(at(world, "control_retire", world.control), {"back": "1"})
    other_sets(world, "control", world.control, setting="1:00")
    second = back.send()
    assert second.status == 409
    assert second.sent["setting"] == "1:00"
    assert second.send(choice__name="typed").status == 302
    control = Control.objects.get()
    assert (control.name, control.setting) == ("Drive", "1:00")
