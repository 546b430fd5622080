"""Figures a unit may have, kept in SI and shown as crews say them. Adding one is one entry here.

Which kinds of gear usually have one is said by the kinds (rigs/gear/kinds.py).
"""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from core.units import Quantity, quantity_text
from rigs.gear import Gear


class FactKind(NamedTuple):
    """A figure: its label in English, the unit it is shown in, and how many SI units that is."""

    key: str
    label: str
    symbol: str
    per_shown: Decimal  # SI value of one shown unit: 1e-12 for pF
    low: Decimal  # in SI, inclusive
    high: Decimal

    @property
    def words(self) -> str:
        """Its label in the language of the reader."""
        return _(self.label)

    def quantity(self, value: Decimal) -> Quantity:
        """A value in SI as a quantity in the unit shown: 1.5E-10 F is 150 pF."""
        return Quantity(value / self.per_shown, self.symbol)

    def shown(self, value: Decimal) -> str:
        """A value in SI as text in the unit shown: 1.5E-10 F is “150 pF”."""
        return quantity_text(self.quantity(value))

    def in_si(self, shown: Decimal) -> Decimal:
        """A value in the unit shown, in SI."""
        return shown * self.per_shown


def _fact(key: str, label: str, symbol: str, per: str, low: str, high: str) -> FactKind:
    return FactKind(key, label, symbol, Decimal(per), Decimal(low), Decimal(high))


# The limits are wide: they catch a slip of a unit or a digit, and judge nobody’s gear.
FACTS: dict[str, FactKind] = {
    fact.key: fact
    for fact in (
        _fact("speaker_impedance", gettext_noop("speaker impedance"), "Ω", "1", "0.5", "1000"),
        _fact("tap_impedance", gettext_noop("speaker tap in use"), "Ω", "1", "0.5", "1000"),
        _fact("output_power", gettext_noop("output power"), "W", "1", "0.001", "100000"),
        _fact("power_handling", gettext_noop("power handling"), "W", "1", "0.001", "100000"),
        _fact("input_impedance", gettext_noop("input impedance"), "kΩ", "1000", "1", "1e8"),
        _fact("pickup_inductance", gettext_noop("pickup inductance"), "H", "1", "0.001", "100"),
        _fact("pickup_resistance", gettext_noop("pickup resistance"), "kΩ", "1000", "1", "1e6"),
        _fact("pickup_capacitance", gettext_noop("pickup capacitance"), "pF", "1e-12", "0", "1e-6"),
        _fact("volume_pot", gettext_noop("volume potentiometer"), "kΩ", "1000", "1000", "1e8"),
        _fact("scale_length", gettext_noop("scale length"), "mm", "0.001", "0.1", "3"),
        _fact("spl_at_mic", gettext_noop("level at the microphone"), "dB SPL", "1", "20", "194"),
        _fact("diameter", gettext_noop("diameter"), "in", "0.0254", "0.02", "2"),
        _fact("shell_depth", gettext_noop("depth of the shell"), "in", "0.0254", "0.02", "2"),
        _fact("pair_tolerance", gettext_noop("stereo pair tolerance"), "mm", "0.001", "0", "1"),
        _fact("mains_power", gettext_noop("mains power drawn"), "W", "1", "0", "100000"),
        _fact("weight", gettext_noop("weight in its case"), "kg", "1", "0", "5000"),
        _fact("packed_length", gettext_noop("length in its case"), "mm", "0.001", "0", "20"),
        _fact("packed_width", gettext_noop("width in its case"), "mm", "0.001", "0", "20"),
        _fact("packed_height", gettext_noop("height in its case"), "mm", "0.001", "0", "20"),
    )
}
FACT_CHOICES = [(fact.key, gettext_lazy(fact.label)) for fact in FACTS.values()]


def facts_for(gear: Gear) -> list[FactKind]:
    """The figures that are usual for a kind of gear, then all the others."""
    return sorted(FACTS.values(), key=lambda fact: fact.key not in gear.figures)
