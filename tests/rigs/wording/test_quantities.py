"""Values as quantities read as they do on every page."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from rigs.changes.edits import Set
from rigs.fields import PartField, ValueKind, rows_of
from rigs.models import PARTS
from rigs.wording import describe_between, fields
from rigs.wording.quantities import data_text, value_data
from tests.support.world import HIRE, World

ROWS = [(kind, row) for kind in PARTS for row in rows_of(kind)]
QUANTITIES = (ValueKind.LENGTH, ValueKind.NUMBER, ValueKind.FIGURE)
# Which figure, and the unit of a length, as a part may have them.
KNOWN = {"key": "pickup_capacitance", "distance_unit": "in", "length_unit": "ft"}


@pytest.mark.parametrize(("kind", "row"), ROWS, ids=lambda each: getattr(each, "name", each))
@pytest.mark.parametrize("value", ["0", "-0.0508", "12.50", "1.5E-10"])
def test_a_quantity_in_words_is_what_the_field_reads(kind: str, row: PartField, value: str) -> None:
    if row.kind not in QUANTITIES:
        assert value_data(kind, row.name, "1", KNOWN) is None
        return
    said = value_data(kind, row.name, value, KNOWN)
    if said is None:
        assert row.kind is ValueKind.NUMBER
        assert not row.symbol
    else:
        assert data_text(said) == fields.text(kind, row.name, value, KNOWN)


@pytest.mark.parametrize("value", [None, ""])
def test_nothing_is_no_quantity(value: Any) -> None:
    assert value_data("input", "distance_m", value, {}) is None


def test_a_length_is_kept_as_it_was_written_and_read_in_one_unit_or_both() -> None:
    """An inch is 25.4 mm (NIST SP 811, appendix B.8)."""
    said = value_data("input", "distance_m", "0.0508", {"distance_unit": "in"})
    assert said == {"length": {"m": "0.0508", "unit": "in"}}
    assert data_text(said) == "2 in (51 mm)"
    assert data_text(said, both=False) == "2 in"


def test_a_change_has_both_sides_as_quantities(world: World) -> None:
    before = {str(world.input.pk): world.input.fields()}
    edit = {"distance_m": "0.05", "distance_unit": "cm", "gain_db": "28"}
    world.record(Set(str(world.input.pk), "input", edit), reason=HIRE)
    world.input.refresh_from_db()
    after = {str(world.input.pk): world.input.fields()}
    lines = {line.field: line for line in describe_between(world.rig, before, after)}
    distance, gain = lines["distance_m"], lines["gain_db"]
    assert distance.old_data == {"length": {"m": "0.035", "unit": "mm"}}
    assert distance.new_data == {"length": {"m": "0.05", "unit": "cm"}}
    assert gain.old_data is None
    assert gain.new_data == {"quantity": {"value": "28", "unit": "dB"}}
    assert Decimal(gain.new_data["quantity"]["value"]) == Decimal(edit["gain_db"])
