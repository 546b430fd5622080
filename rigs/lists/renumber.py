"""Give inputs new channel numbers: one change for each rig, all or nothing.

The form by which that is done is here, too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import QueryDict
from django.utils.translation import gettext as _

from core.models import User
from core.numbers import whole_number
from rigs.changes.edits import Clash, Set
from rigs.models import Input, Revision, Rig
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict, record

Numbers = Mapping[str, int | None]


class NumbersClash(Exception):
    """Somebody else has numbered the same inputs meanwhile. Nothing was written."""

    def __init__(self, clashes: Sequence[Clash]) -> None:
        self.clashes = list(clashes)
        super().__init__(_("Someone else changed some of these numbers since you opened the page."))


@transaction.atomic
def renumber(
    *, inputs: Sequence[Input], numbers: Numbers, by: User, bases: Mapping[UUID, int] | None = None
) -> list[Revision]:
    """`numbers` by input id; inputs not named keep theirs. A number may stand twice: it shows.

    `bases` are the changes that the rigs were at, by rig id, when the numbers were arranged: what
    was not touched since then takes no side. Raises NumbersClash with all that clashes.
    """
    by_rig: dict[UUID, list[Input]] = {}
    for entry in inputs:
        if str(entry.pk) in numbers:
            by_rig.setdefault(entry.rig_id, []).append(entry)
    done, clashes = [], list[Clash]()
    for rig_id, entries in by_rig.items():
        rig, base = entries[0].rig, (bases or {}).get(rig_id, entries[0].rig.head_number)
        # Only what differs from the page is written, or an untouched number would overwrite a
        # number that somebody else has set meanwhile.
        opened = _as_opened(rig, base, entries)
        moved = [i for i in opened if numbers[i] != opened[i]]
        try:
            edits = [Set(i, "input", {"number": numbers[i]}) for i in moved]
            revision = record(rig, edits, author=by, base=base) if edits else None
        except Conflict as conflict:
            # Go on with the other rigs, so that one answer names all that clashes; raising
            # NumbersClash below undoes what was written for them.
            clashes += conflict.clashes
            continue
        if revision is not None:
            done.append(revision)
    if clashes:
        raise NumbersClash(clashes)
    return done


def _as_opened(rig: Rig, base: int, entries: Sequence[Input]) -> dict[str, int | None]:
    """The numbers that the page showed, by input id. What came later was not on it."""
    if base == rig.head_number:
        return {str(entry.pk): entry.number for entry in entries}
    then = as_of(rig, base)
    ids = [str(entry.pk) for entry in entries]
    return {i: _number(then[i].get("number")) for i in ids if i in then}


def _number(value: object) -> int | None:
    return value if isinstance(value, int) else None


def arranged(inputs: Sequence[Input], order: Sequence[str]) -> list[Input]:
    """`inputs` in the order of their ids in `order`; what it does not name comes last."""
    place = {part: at for at, part in enumerate(order)}
    return sorted(inputs, key=lambda entry: place.get(str(entry.pk), len(place)))


def in_order(inputs: Sequence[Input]) -> dict[str, int | None]:
    """Numbers from 1 without gaps, in the order given."""
    return {str(entry.pk): number for number, entry in enumerate(inputs, start=1)}


_NUMBER, _BASE = "number_", "base_"


class RenumberForm(forms.Form):
    """A channel number for each input of the list, in the order they were sent; empty for none."""

    def __init__(self, inputs: list[Input], data: QueryDict | None = None) -> None:
        super().__init__(data)
        sent = [name.removeprefix(_NUMBER) for name in data or () if name.startswith(_NUMBER)]
        self.inputs = arranged(inputs, sent)
        for entry in self.inputs:
            self.fields[f"{_NUMBER}{entry.pk}"] = forms.IntegerField(
                label=_("Channel of {name}, {player}").format(
                    name=entry.name, player=entry.rig.player
                ),
                required=False,
                min_value=1,
                max_value=9999,
                initial=entry.number,
            )
        self.bases = {entry.rig_id: self._base(entry.rig) for entry in inputs}

    def _base(self, rig: Rig) -> int:
        """The change that the rig was at when the page was opened."""
        sent = whole_number(self.data.get(f"{_BASE}{rig.pk}"))
        return rig.head_number if sent is None else min(sent, rig.head_number)

    @property
    def hidden(self) -> list[tuple[str, int]]:
        return [(f"{_BASE}{rig}", base) for rig, base in self.bases.items()]

    @property
    def rows(self) -> list[tuple[Input, forms.BoundField]]:
        return [(entry, self[f"{_NUMBER}{entry.pk}"]) for entry in self.inputs]

    def numbers(self) -> dict[str, int | None]:
        """What was sent; an input that came after the page was opened keeps its number."""
        return {
            name.removeprefix(_NUMBER): number
            for name, number in self.cleaned_data.items()
            if name in self.data
        }

    def show_clash(self, clash: NumbersClash) -> None:
        """Say what is there now. Whoever sends the form again has seen it."""
        self.add_error(None, str(clash))
        for each in clash.clashes:
            name = f"{_NUMBER}{each.part}"
            if name in self.fields:
                there = _("retired") if isinstance(each.now, dict) else each.now or _("none")
                self.add_error(
                    name, _("Now there: {there}. Save again to keep yours.").format(there=there)
                )
        self.bases = {entry.rig_id: entry.rig.head_number for entry in self.inputs}
