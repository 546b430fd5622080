"""Changes in plain words."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from rigs.changes.edits import Add, Retire, Set
from rigs.models import ChangeRow, Revision, StoredPhoto
from rigs.revisions.read import as_of
from rigs.wording import describe, describe_between, describe_many, grouped
from tests.support.world import HIRE, World


def sentences(world: World, number: int | None = None) -> list[str]:
    rows = ChangeRow.objects.filter(revision__rig=world.rig)
    wanted = Revision.objects.order_by("number").last() if number is None else None
    rows = rows.filter(revision=wanted) if wanted else rows.filter(revision__number=number)
    return [line.sentence for line in describe(world.rig, rows)]


def on_input(world: World, **values: Any) -> None:
    world.record(Set(str(world.input.pk), "input", values), reason=HIRE)


def test_a_turned_knob_is_named_with_its_unit(world: World) -> None:
    world.turn("3:00")
    (line,) = describe(world.rig, ChangeRow.objects.filter(revision__number=2))
    assert line.sentence == "Head, Gain: 2:30 → 3:00"
    assert (line.part_name, line.field_label) == ("Head", "Gain")
    assert (line.old_text, line.new_text, line.short) == ("2:30", "3:00", "Gain: 2:30 → 3:00")


def test_a_swapped_microphone_is_named_on_both_sides(world: World) -> None:
    world.swap(world.other_mic, HIRE)
    assert sentences(world) == [
        "7 Bass mic, Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4"
    ]


def test_a_length_and_its_unit_make_one_line(world: World) -> None:
    on_input(world, distance_m=Decimal("0.0508"), distance_unit="in")
    # 0.035 m / 0.0254 m = 1.378 in; 2 in is exactly 50.8 mm (NIST SP 811, appendix B.8).
    assert sentences(world) == ["7 Bass mic, Distance: 35 mm (1.4 in) → 2 in (51 mm)"]


def test_a_length_reads_in_the_unit_it_had_at_that_time(world: World) -> None:
    on_input(world, distance_m=Decimal("0.04"))
    on_input(world, distance_m=Decimal("0.0508"), distance_unit="in")
    on_input(world, distance_m=Decimal("0.0762"))
    assert sentences(world, 2) == ["7 Bass mic, Distance: 35 mm (1.4 in) → 40 mm (1.6 in)"]
    assert sentences(world, 4) == ["7 Bass mic, Distance: 2 in (51 mm) → 3 in (76 mm)"]


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"gain_db": Decimal("32.5")}, "Preamp gain: nothing → 32.5 dB"),
        ({"pad_db": Decimal(-20)}, "Pad: nothing → −20 dB"),
        ({"phantom": True}, "Phantom power: off → on"),
        ({"reversed_polarity": True}, "Polarity: normal → reversed"),
        ({"pan": -30}, "Pan: centre → 30 house left"),
        ({"pan": 100}, "Pan: centre → 100 house right"),
        ({"high_pass_hz": Decimal("60.0")}, "HPF: 30 Hz → 60 Hz"),
        ({"angle_deg": Decimal(-45)}, "Angle off axis: 20° → −45°"),
        ({"unit": None}, "Takes its sound from: Head → nothing"),
        ({"stand": "short boom"}, "Stand: nothing → short boom"),
    ],
)
def test_every_kind_of_value_has_its_words(world: World, values: dict[str, Any], said: str) -> None:
    on_input(world, **values)
    assert sentences(world) == [f"7 Bass mic, {said}"]


def test_parts_that_come_and_go_are_told_whole(world: World) -> None:
    cabinet, cable = str(uuid4()), str(uuid4())
    world.record(
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet"}),
        Add(
            cable,
            "link",
            {
                "source": str(world.unit.pk),
                "target": cabinet,
                "length_m": Decimal(6),
            },
        ),
    )
    assert set(sentences(world)) == {
        "Cabinet was added: speaker cabinet",
        "Head → Cabinet was connected: 6 m (19.7 ft)",
    }
    world.record(Retire(cable, "link"), Retire(cabinet, "unit"))
    assert set(sentences(world)) == {"Cabinet was retired", "Head → Cabinet was taken out"}


def test_a_place_in_the_order_is_told_without_numbers(world: World) -> None:
    world.record(Set(str(world.unit.pk), "unit", {"position": 3}))
    assert sentences(world) == ["Head was moved in the order"]


def test_a_long_text_is_shortened_in_the_sentence_only(world: World) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"sound": "warm " * 100}))
    (line,) = describe(world.rig, ChangeRow.objects.filter(revision__number=2))
    assert line.new_text == ("warm " * 100).strip()
    assert line.sentence.endswith("warm warm…")
    assert len(line.sentence) < 200


def test_two_states_are_compared_in_the_order_of_the_rig(world: World) -> None:
    before = as_of(world.rig, 1)
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    world.record(Set(str(world.unit.pk), "unit", {"tuning": "B E A D"}))
    lines = describe_between(world.rig, before, as_of(world.rig, 4))
    assert [(group.name, [line.short for line in group.lines]) for group in grouped(lines)] == [
        ("Head", ["Tuning: nothing → B E A D", "Gain: 2:30 → 3:00"]),
        ("7 Bass mic", ["Microphone or DI: Corvane Hollow 2 → Corvane Eskvane 4"]),
    ]


@pytest.mark.parametrize("count", [10, 1000])
def test_the_number_of_queries_is_fixed(
    world: World, django_assert_num_queries: Any, count: int
) -> None:
    for turn in range(count - 2):
        world.turn(f"{turn % 4 + 1}:00")
    world.swap(world.other_mic, HIRE)
    revisions = Revision.objects.filter(rig=world.rig).select_related("rig")
    # The revisions, their changes; controls, inputs, units; devices; the units of lengths.
    with django_assert_num_queries(7):
        lines = describe_many(revisions)
    assert len(lines) == count
    assert all(lines.values())


def test_no_rows_need_no_queries(world: World, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert describe(world.rig, []) == []


def test_a_figures_source_is_a_text_and_a_cables_is_a_unit(world: World) -> None:
    figure = str(uuid4())
    values = {
        "unit": str(world.unit.pk),
        "key": "tap_impedance",
        "value": Decimal(8),
        "source": "read off the label",
    }
    world.record(Add(figure, "fact", values))
    assert sentences(world) == ["Head, Speaker tap in use was added: 8 Ω"]
    world.record(Set(figure, "fact", {"source": "measured"}))
    assert sentences(world) == ["Head, Speaker tap in use, source: read off the label → measured"]


def test_a_photo_is_told_with_what_it_shows(world: World) -> None:
    image = StoredPhoto.objects.create(
        production=world.production,
        sha256="0" * 64,
        thumb_sha256="0" * 64,
        width=1,
        height=1,
        bytes=1,
        taken_by=world.tech,
    )
    photo = str(uuid4())
    about = {"image": str(image.pk), "about": str(world.input.pk), "caption": "cone edge"}
    world.record(Add(photo, "photo", about))
    assert sentences(world) == ["7 Bass mic, photo “cone edge” was added"]
    world.record(Set(photo, "photo", {"about": None}))
    assert sentences(world) == ["photo “cone edge”, Shows: 7 Bass mic → the whole rig"]


def test_a_first_change_is_told_in_the_order_of_the_rig(world: World) -> None:
    assert sentences(world, 1) == [
        "Bass main was put on file",
        "Head was added: valve amplifier head, Tarn",
        "Head, Gain was added: 2:30",
        "7 Bass mic was added: Corvane Hollow 2, cone edge, 35 mm (1.4 in) from grille, "
        "20° off axis",
    ]
