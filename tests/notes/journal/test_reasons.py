"""Notes as the reason of a change: what is refused, what is linked, all in one transaction."""

from __future__ import annotations

from uuid import uuid4

import pytest

from notes.journal.reasons import change_because
from notes.models import Note, ReasonLink
from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind, ReasonRequired
from rigs.models import Input, Revision
from rigs.places import CHECK_NOTES, RECORDED
from tests.support.world import World, make_world


def _note(world: World, words: str = "Too boomy.") -> Note:
    return Note.objects.create(
        production=world.production,
        rig=world.rig,
        words=words,
        verdict="adjust",
        written_by=world.engineer,
    )


def _swap(world: World) -> Set:
    return Set(str(world.input.pk), "input", {"device": str(world.other_mic.pk)})


def _because(*notes: Note) -> Reason:
    return Reason(ReasonKind.NOTES, "", tuple(note.pk for note in notes))


def test_a_note_carries_a_swap_and_is_linked_to_it(world: World) -> None:
    note = _note(world)
    revision = change_because(
        world.rig, [_swap(world)], notes=[note], words=" Less boom. ", author=world.tech, base=1
    )
    assert revision is not None
    assert Input.objects.get().device == world.other_mic
    assert (revision.reason_kind, revision.reason_words) == ("notes", "Less boom.")
    assert revision.note_ids == [str(note.pk)]
    assert list(ReasonLink.objects.values_list("revision", "note")) == [(revision.pk, note.pk)]


def test_several_notes_are_all_linked_and_each_once(world: World) -> None:
    first, second = _note(world), _note(world, "Muddy in the bridge.")
    revision = change_because(
        world.rig, [_swap(world)], notes=[first, second, first], words="", author=world.tech, base=1
    )
    assert revision is not None
    assert {link.note for link in revision.because_of.all()} == {first, second}
    assert revision.note_ids == [str(first.pk), str(second.pk)]


def test_an_unknown_note_is_no_reason(world: World) -> None:
    unknown = uuid4()
    with pytest.raises(ReasonRequired) as caught:
        world.swap(world.other_mic, Reason(ReasonKind.NOTES, "", (unknown,)))
    assert str(caught.value) == (
        f"This production has no listening note {unknown}, so it cannot be the reason."
    )
    assert Revision.objects.count() == 1


def test_a_note_of_another_production_is_no_reason_and_reads_like_an_unknown_one(
    world: World,
) -> None:
    foreign = _note(make_world("Elsewhere"))
    with pytest.raises(ReasonRequired, match=f"no listening note {foreign.pk}"):
        world.swap(world.other_mic, _because(_note(world), foreign))
    assert ReasonLink.objects.count() == 0
    assert Input.objects.get(pk=world.input.pk).device == world.mic


def test_no_note_at_all_is_no_reason(world: World) -> None:
    with pytest.raises(ReasonRequired, match="Pick the listening note that is the reason"):
        change_because(world.rig, [_swap(world)], notes=[], words="", author=world.tech, base=1)


def test_a_change_that_changes_nothing_links_nothing(world: World) -> None:
    edit = Set(str(world.control.pk), "control", {"setting": "2:30"})
    note = _note(world)
    assert (
        change_because(world.rig, [edit], notes=[note], words="", author=world.tech, base=1) is None
    )
    assert ReasonLink.objects.count() == 0


def test_links_are_written_with_the_change_or_not_at_all(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        assert ReasonLink.objects.count() == 1
        raise RuntimeError("power cut")

    monkeypatch.setattr(RECORDED, "providers", [fail])
    with pytest.raises(RuntimeError, match="power cut"):
        world.swap(world.other_mic, _because(_note(world)))
    assert (ReasonLink.objects.count(), Revision.objects.count()) == (0, 1)


def test_where_no_app_knows_notes_none_can_be_the_reason(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    note = _note(world)
    monkeypatch.setattr(CHECK_NOTES, "providers", [])
    with pytest.raises(ReasonRequired, match="No listening notes are kept here"):
        world.swap(world.other_mic, _because(note))
    assert Revision.objects.count() == 1
