"""All figures of a unit in one form, in the units that crews use. Emptied ones are retired."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Self
from uuid import uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from core.units import plain
from rigs.changes.edits import Add, Edit, Retire, Set
from rigs.editing.guarded import GuardedForm, Key
from rigs.facts import FACTS, FactKind, facts_for
from rigs.models import Fact, Rig, Unit
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict


class FiguresForm(GuardedForm):
    """A field for each figure a unit may have, the usual ones of its kind of gear first."""

    kind = "fact"

    def __init__(self, rig: Rig, unit: Unit, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.unit = unit
        self.facts = {fact.key: fact for fact in Fact.objects.live().filter(unit=unit)}
        # Compared with what the page showed, so that a figure nobody touched takes no side.
        opened_on = as_of(rig, self.base) if self.base != rig.head_number else None
        for kind in facts_for(unit.traits):
            fact = self.facts.get(kind.key)
            value = fact.value if fact else None
            if opened_on is not None:
                before = opened_on.get(str(fact.pk), {}).get("value") if fact else None
                value = Decimal(str(before)) if before is not None else None
            self.fields[kind.key] = forms.DecimalField(
                label=f"{kind.words}, {kind.symbol}",
                required=False,
                max_digits=20,
                min_value=_limit(kind.low, kind),
                max_value=_limit(kind.high, kind),
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )
            self.initial[kind.key] = plain(value / kind.per_shown) if value is not None else ""
        self.fields["source"] = forms.CharField(
            label=_("where the figures come from"),
            required=False,
            max_length=120,
            help_text=_(
                "Measured, the maker’s sheet, read off the label: goes with what you change."
            ),
        )
        self.read_choices()

    @property
    def usual(self) -> list[forms.BoundField]:
        return [f for f in self.open_fields if f.name in FACTS and self._is_usual(f.name)]

    @property
    def others(self) -> list[forms.BoundField]:
        return [f for f in self.open_fields if f.name in FACTS and not self._is_usual(f.name)]

    def _is_usual(self, key: str) -> bool:
        return key in self.unit.traits.figures or key in self.facts

    def key(self, name: str) -> Key | None:
        fact = self.facts.get(name)
        return Key(str(fact.pk), ("value",)) if fact else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        return self.cleaned_data

    def edits(self) -> list[Edit]:
        # Of figures that two people set, those of which the other one’s stays are not written.
        stay = {n for n in self.asked if self.choice(n) == "now"}
        moved = [name for name in self.changed_data if name in FACTS and name not in stay]
        return [edit for name in moved if (edit := self._edit(name)) is not None]

    def _edit(self, name: str) -> Edit | None:
        fact, shown = self.facts.get(name), self.cleaned_data[name]
        if shown is None:
            return Retire(str(fact.pk), "fact") if fact else None
        values = {"value": FACTS[name].in_si(shown), "source": self.cleaned_data["source"]}
        if fact is not None:
            return Set(str(fact.pk), "fact", values)
        fields = {"unit": str(self.unit.pk), "key": name, **values}
        return Add(str(uuid4()), "fact", fields)

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.unit)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        form.conflicted = True
        form.asked = {name: self.base for name in at_stake if name in form.facts}
        form.now_texts = {name: form.now_text(name) for name in form.asked}
        form.retain_typed(self, [n for n in self.changed_data if n in form.fields])
        return form


def _limit(value: Decimal, kind: FactKind) -> Decimal:
    """A limit, stored in SI, in the unit that is shown; an error then says “1000”, not “1E+3”."""
    return Decimal(plain(value / kind.per_shown))
