"""Goods that were written for the carnet list: stands and leads, as many as the inputs need."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from notes.demo.apply import apply
from notes.demo.cast import MANAGER
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.carnet.services import save_goods
from rigs.models import CarnetGoods


@dataclass(frozen=True)
class Listed:
    """One line: its kind, what it is, the case, the country, the value and weight of one."""

    when: datetime
    kind: str
    what: str
    case: str
    country: str
    worth: str
    weight: str


EVENTS: tuple[Listed, ...] = (
    Listed(
        at(11, 20, 17), "stands", "Microphone stand, steel", "Case 12, stands", "DE", "38", "2.9"
    ),
    Listed(at(11, 20, 17, 2), "leads", "Microphone lead, XLR", "Case 13, leads", "", "14", "0.4"),
)


@apply.register
def _(event: Listed, stage: DemoStage) -> None:
    row = CarnetGoods(
        production=stage.production,
        kind=event.kind,
        what=event.what,
        packed_in=event.case,
        country_of_origin=event.country,
        worth=event.worth,
        currency="EUR",
        weight_kg=event.weight,
    )
    row.full_clean()
    save_goods(row, by=stage.people[MANAGER])
