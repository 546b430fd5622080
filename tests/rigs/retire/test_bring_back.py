"""What left with a unit comes back with it."""

from __future__ import annotations

from rigs.changes.edits import Add, Retire
from rigs.models import Fact, Input, Unit
from rigs.retire.services import bring_back, retire_edits
from tests.support.world import HIRE, World

FACT = "00000000-0000-4000-8000-0000000000fb"


def test_a_figure_with_its_source_comes_back_with_its_unit(world: World) -> None:
    """The source of a figure is text, though a cable's source is a unit."""
    fields = {"unit": str(world.unit.pk), "key": "tap_impedance", "value": "8"}
    world.record(Add(FACT, "fact", {**fields, "source": "read off the label"}))
    world.record(Retire(str(Input.objects.get().pk), "input"), reason=HIRE)
    world.record(*retire_edits(Unit.objects.get()))
    assert Fact.objects.get().retired is True
    world.rig.refresh_from_db()
    bring_back(rig=world.rig, part=Unit.objects.get(), author=world.tech)
    fact = Fact.objects.get()
    assert (fact.retired, fact.source) == (False, "read off the label")
