"""What differs at a show: written, read, taken back; the rig stays as it is signed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from rigs.changes.edits import Add
from rigs.inputs.devices import is_mentioned
from rigs.lists.input_list import day_grid, numbering_of
from rigs.models import Device, ShowInput
from rigs.models.parts import WrittenAroundGateway
from rigs.revisions.read import live
from rigs.shows.services import as_listed, differ, row_of, rows_of
from rigs.swaps import FIELDS
from tests.rigs.shows.shows import make_show
from tests.support.world import World, make_device, make_world

WHY = {"why": "failure", "words": "Ours fell over at load-in."}


def test_a_substitute_holds_for_that_show_alone(world: World) -> None:
    show, other = make_show(world), make_show(world, "Second room")
    before = (live(world.rig), world.rig.head_digest)
    differ(show, world.input, by=world.tech, device=world.other_mic, **WHY)
    [row] = rows_of(show)
    assert (row.listed.device, row.entry.device) == (world.mic, world.other_mic)
    [cell] = row.differs
    assert cell[1:] == ("Microphone or DI", "Corvane Hollow 2", "Corvane Eskvane 4")
    assert row.why == "something failed: Ours fell over at load-in."
    assert [r.difference for r in rows_of(other)] == [None]
    world.rig.refresh_from_db()
    assert (live(world.rig), world.rig.head_digest) == before


def test_what_is_not_named_stays_as_it_was_said(world: World) -> None:
    show = make_show(world)
    differ(show, world.input, by=world.tech, gain_db=Decimal(38))
    made = differ(show, world.input, by=world.engineer, number=3)
    assert made is not None
    assert (made.gain_db, made.number, made.version) == (38, 3, 2)
    assert (made.by, made.by_name) == (world.engineer, world.engineer.name)


def test_a_value_of_the_list_is_no_difference(world: World) -> None:
    show = make_show(world)
    assert differ(show, world.input, by=world.tech, number=7, high_pass_hz="30.0") is None
    # The list has no pad, so “none” is the list's own value.
    assert differ(show, world.input, by=world.tech, pad_db=0) is None
    assert not ShowInput.objects.exists()


def test_nothing_left_removes_the_row(world: World) -> None:
    show = make_show(world)
    differ(show, world.input, by=world.tech, gain_db=Decimal(38), **WHY)
    assert differ(show, world.input, by=world.tech, gain_db=None) is None
    assert not ShowInput.objects.exists()


def test_a_high_pass_can_be_off_that_day(world: World) -> None:
    show = make_show(world)
    differ(show, world.input, by=world.tech, high_pass_hz=0)
    [cell] = row_of(show, world.input).differs
    assert cell[1:] == ("HPF, Hz", "30", "")


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"absent": True}, "why"),
        ({"absent": True, "why": "wish"}, "words"),
        ({"absent": True, "why": "correction", "words": "No."}, "why"),
        ({"gain_db": Decimal(900)}, "gain_db"),
        ({"pad_db": Decimal(20)}, "pad_db"),
        ({"number": 0}, "number"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(
    world: World, values: dict[str, Any], field: str
) -> None:
    show = make_show(world)
    with pytest.raises(ValidationError) as refused:
        differ(show, world.input, by=world.tech, **values)
    assert field in refused.value.message_dict
    assert not ShowInput.objects.exists()


def test_nothing_crosses_productions(world: World) -> None:
    theirs, show = make_world("Another act"), make_show(world)
    with pytest.raises(ValidationError):
        differ(show, world.input, by=world.tech, device=theirs.mic, **WHY)
    with pytest.raises(ValidationError):
        differ(show, theirs.input, by=world.tech, gain_db=Decimal(3))


def test_what_is_retired_is_left_alone(world: World) -> None:
    show = make_show(world, retired_at=timezone.now())
    with pytest.raises(ValidationError, match="show is retired"):
        differ(show, world.input, by=world.tech, number=3)


def test_an_absent_input_frees_its_channel(world: World) -> None:
    show = make_show(world)
    world.record(Add(str(uuid4()), "input", {"name": "Guitar mic", "number": 7}))
    assert numbering_of(rows_of(show)).twice == [7]
    differ(show, world.input, by=world.tech, absent=True, why="wish", words="Plays direct.")
    assert numbering_of(rows_of(show)).twice == []


def test_a_clash_of_numbers_is_reported_not_refused(world: World) -> None:
    show = make_show(world)
    world.record(Add(str(uuid4()), "input", {"name": "Guitar mic", "number": 8}))
    differ(show, world.input, by=world.tech, number=8)
    assert numbering_of(rows_of(show)).twice == [8]


def test_that_days_inputs_cannot_be_saved(world: World) -> None:
    show = make_show(world)
    differ(show, world.input, by=world.tech, number=8)
    [row] = rows_of(show)
    with pytest.raises(WrittenAroundGateway):
        row.entry.save()


def test_a_device_of_a_show_keeps_its_identity(world: World) -> None:
    assert not is_mentioned(world.other_mic)
    differ(make_show(world), world.input, by=world.tech, device=world.other_mic, **WHY)
    assert is_mentioned(world.other_mic)


def test_the_list_of_a_show_costs_eleven_queries(
    world: World, django_assert_num_queries: Any
) -> None:
    show = make_show(world)
    world.record(
        *(Add(str(uuid4()), "input", {"name": f"I{n}", "number": 10 + n}) for n in range(30))
    )
    for row in rows_of(show):
        differ(show, row.listed, by=world.tech, device=world.other_mic, **WHY)
    with django_assert_num_queries(11):
        assert len(rows_of(show)) == 31


def test_the_exported_grid_says_what_differs(world: World) -> None:
    show = make_show(world)
    differ(show, world.input, by=world.tech, device=world.other_mic, hired_locally=True, **WHY)
    headings, line = day_grid(rows_of(show))
    told = dict(zip(headings, line, strict=True))
    assert told["Microphone or DI"] == "Corvane Eskvane 4"
    assert (told["Used"], told["Hired locally"]) == ("yes", "yes")
    assert told["Changed for this show"] == (
        "Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4"
    )


OVERRIDES = st.fixed_dictionaries(
    {},
    optional={
        "number": st.none() | st.integers(1, 9999),
        "gain_db": st.none() | st.decimals(-30, 90, places=1),
        "pad_db": st.none() | st.decimals(-60, 0, places=1),
        "high_pass_hz": st.none() | st.decimals(0, 20000, places=1),
        "phantom": st.none() | st.booleans(),
        "stand": st.just("") | st.text("abc æø", max_size=20),
        "stage_position": st.just("") | st.text("abc 12", max_size=20),
        "device": st.none() | st.sampled_from(["Hollow 2", "Eskvane 4"]),
        "absent": st.booleans(),
        "hired_locally": st.booleans(),
    },
)


class RoundTrip(TestCase):
    @settings(max_examples=60)
    @given(st.lists(OVERRIDES, min_size=1, max_size=3))
    def test_what_is_said_is_read_and_taking_all_back_restores_the_list(
        self, said: list[dict[str, Any]]
    ) -> None:
        world = make_world()
        make_device(world.production, "Third")
        show = make_show(world)
        listed = day_grid(rows_of(show))
        wanted: dict[str, Any] = {}
        for values in said:
            found = dict(values)
            if found.get("device"):
                found["device"] = Device.objects.get(name=found["device"])
            differ(show, world.input, by=world.tech, decided=FIELDS, **found, **WHY)
            wanted |= found
        [row] = rows_of(show)
        for name, value in wanted.items():
            if name in ("absent", "hired_locally"):
                assert bool(row.difference and getattr(row.difference, name)) == value
            elif value in (None, ""):
                assert getattr(row.entry, name) == getattr(row.listed, name)
            elif value == 0 and name in ("pad_db", "high_pass_hz") and value is not False:
                assert getattr(row.entry, name) is None
            else:
                assert getattr(row.entry, name) == value
        as_listed(show, world.input, by=world.tech)
        assert day_grid(rows_of(show)) == listed
        assert not ShowInput.objects.exists()
