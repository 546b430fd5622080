"""Spares on the pack list: counted by kind and type; nothing lost, nothing twice."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Add
from rigs.lists.pack import as_rows, pack_of
from rigs.models import Spare, Unit
from rigs.upkeep.spares import spares_to_carry
from tests.support.world import World

ROWS = st.lists(
    st.builds(
        Spare,
        sort=st.sampled_from(Spare.Sort.values),
        what=st.sampled_from(["9 V", "9 v", "AA"]),
        carried=st.integers(0, 9),
        in_use=st.integers(0, 9),
        unit=st.builds(Unit, name=st.just("P")),
    )
)


@given(ROWS)
def test_every_spare_is_counted_once(rows: list[Spare]) -> None:
    lines = spares_to_carry(rows)
    assert sum(line.count for line in lines) == sum(row.carried for row in rows)
    assert len({(line.sort, line.what.casefold()) for line in lines}) == len(lines)
    assert all(line.count for line in lines)


def test_the_pack_list_has_them(world: World) -> None:
    common = {"unit": str(world.unit.pk), "sort": "valve", "what": "output pair", "maker": "Orrin"}
    for n in (1, 2):
        part = f"00000000-0000-4000-8000-00000000000{n}"
        world.record(Add(part, "spare", {**common, "carried": n}))
    rows = as_rows(pack_of(world.production))
    assert ["Spares", "valve: Orrin output pair", "3", "", "Head", ""] in rows
