"""Words that accept a finding hold until its numbers change, and are never rewritten."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction

from core.models import Leg, Show
from rigs.changes.edits import Add, Set
from rigs.checks.acceptance import FindingGone, FindingWithWords, acknowledge, findings_with_words
from rigs.checks.load import benches, snapshots
from rigs.models import FindingWords, Rig
from rigs.revisions.read import live
from tests.support.everything import fill
from tests.support.world import HIRE, World, make_device, make_rig

SIDES = ("OH left", "OH right")


def pair(world: World, left: str = "1.0", right: str = "1.5") -> list[str]:
    ids = [str(uuid4()) for _ in SIDES]
    world.record(
        *(
            Add(
                one,
                "input",
                {"name": name, "reference_point": "Snare", "distance_m": Decimal(metres)},
            )
            for one, name, metres in zip(ids, SIDES, (left, right), strict=True)
        )
    )
    return ids


def of_pair(rig: Rig) -> FindingWithWords:
    (found,) = (
        each for each in findings_with_words([rig])[rig.pk] if each.finding.rule == "stereo_pair"
    )
    return found


def accept(world: World, words: str = "She likes it wide.", **more: Any) -> FindingWords:
    signature = of_pair(world.rig).finding.signature
    return acknowledge(rig=world.rig, signature=signature, words=words, user=world.engineer, **more)


def test_words_accept_a_finding(world: World) -> None:
    ids = pair(world)
    assert not of_pair(world.rig).is_accepted
    row = accept(world, "  She likes it wide. ")
    found = of_pair(world.rig)
    assert found.is_accepted
    assert found.words == row
    assert (row.words, row.by_name) == ("She likes it wide.", world.engineer.name)
    assert (row.rule, row.parts) == ("stereo_pair", ids)
    assert row.said_of == "OH left and OH right are not equally far from the snare"


def test_another_number_makes_it_reappear_and_the_old_one_is_still_accepted(world: World) -> None:
    left, _ = pair(world)
    accept(world)
    world.record(Set(left, "input", {"distance_m": Decimal("1.1")}), reason=HIRE)
    assert not of_pair(world.rig).is_accepted
    world.record(Set(left, "input", {"distance_m": Decimal("1.0")}), reason=HIRE)
    assert of_pair(world.rig).is_accepted


def test_another_name_and_another_weather_do_not(world: World) -> None:
    left, right = pair(world)
    accept(world)
    world.record(Set(left, "input", {"name": "Overhead left", "notes": "Blue cable."}))
    world.record(Set(right, "input", {"name": "Overhead right"}))
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on="2100-01-01", ends_on="2100-02-01"
    )
    Show.objects.create(leg=leg, held_on="2100-01-02", room="Yard", temperature_c=Decimal(31))
    assert benches([world.rig])[world.rig.pk].celsius == 31.0
    assert of_pair(world.rig).is_accepted


def test_it_can_be_opened_again_with_words(world: World) -> None:
    pair(world)
    accept(world)
    accept(world, "In mono it hurts.", accept=False)
    found = of_pair(world.rig)
    assert not found.is_accepted
    assert found.words is not None
    assert found.words.words == "In mono it hurts."
    assert FindingWords.objects.count() == 2


def test_no_words_is_no_acceptance(world: World) -> None:
    pair(world)
    with pytest.raises(ValidationError) as refused:
        accept(world, " ")
    assert refused.value.message_dict == {
        "words": ["Say in a few words why this may stay as it is."]
    }
    assert not FindingWords.objects.exists()


def test_what_has_changed_meanwhile_is_not_accepted(world: World) -> None:
    with pytest.raises(FindingGone, match="no longer there"):
        acknowledge(rig=world.rig, signature="0" * 64, words="Fine.", user=world.engineer)


@pytest.mark.parametrize("statement", ["UPDATE {} SET words = 'x'", "DELETE FROM {}"])
def test_the_database_refuses_to_rewrite_words(world: World, statement: str) -> None:
    pair(world)
    accept(world)
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(FindingWords._meta.db_table))


def test_words_hold_for_their_own_rig_only(world: World) -> None:
    pair(world)
    accept(world)
    other = make_rig(world.production, world.player, world.tech, "Fly rig")
    assert all(not each.is_accepted for each in findings_with_words([other])[other.pk])


@pytest.mark.parametrize("size", [1, 12])
def test_queries_do_not_grow(world: World, django_assert_num_queries: Any, size: int) -> None:
    rigs = [world.rig] + [
        make_rig(world.production, world.player, world.tech, f"Rig {n}", _parts())
        for n in range(size - 1)
    ]
    with django_assert_num_queries(7):
        assert len(findings_with_words(rigs)) == size


def test_no_rigs_cost_nothing(django_assert_num_queries: Any, db: None) -> None:
    with django_assert_num_queries(0):
        assert findings_with_words([]) == {}


def _parts() -> tuple[Add, ...]:
    return tuple(Add(str(uuid4()), "input", {"name": name, "number": 1}) for name in SIDES)


def test_a_device_is_laid_out_in_si_and_zero_is_no_figure(world: World) -> None:
    device = make_device(
        world.production,
        "Full",
        sensitivity_mv_pa=Decimal("2"),
        max_spl_db=Decimal("150"),
        impedance_ohm=Decimal(0),
    )
    world.swap(device, HIRE)
    (entry,) = benches([world.rig])[world.rig.pk].inputs
    assert entry.device is not None
    assert (entry.device.sensitivity, entry.device.max_spl) == (0.002, 150.0)
    assert entry.device.impedance is None
    assert entry.distance == 0.035


# What no rule asks about is left out: photos with their pins, what songs change.
def test_what_is_loaded_is_what_the_rig_says_of_itself(world: World) -> None:
    fill(world)
    loaded, own = snapshots([world.rig])[world.rig.pk], live(world.rig)
    assert loaded == own


def test_only_the_next_show_counts(world: World) -> None:
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on="2000-01-01", ends_on="2100-02-01"
    )
    for held_on, celsius in (("2000-01-02", 10), ("2100-01-01", None), ("2100-01-02", 30)):
        Show.objects.create(leg=leg, held_on=held_on, room="Room", temperature_c=celsius)
    assert benches([world.rig])[world.rig.pk].celsius is None
