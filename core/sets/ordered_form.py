"""A page of lines in order that several people change: typed numbers, arrows, what clashes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Generic, Protocol, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.durations import format_duration
from core.models import Show
from core.sets.merge import Clash, WithId
from core.sets.refused import LinesConflict, LinesRefused

DECIDED = "decided-"  # names of answers to a conflict begin with it
L = TypeVar("L", bound=WithId)
S = TypeVar("S")


class RowForm(Protocol):
    """The form of one line; its prefix is the id of the line. It has the field `place`."""

    line: Any
    was_at: int
    cleaned_data: dict[str, Any]

    @property
    def is_bound(self) -> bool: ...

    def is_valid(self) -> bool: ...

    def add_error(self, field: str | None, error: Any) -> None: ...

    def made(self) -> Any:
        """The line as it was typed; None if it is to be taken out."""


class OrderedForm(Generic[S]):
    """Forms of lines (`lines`) and one of the rest (`more`), made from `version` of the whole."""

    show: Show
    CONFLICT = gettext_lazy("Someone else changed this list, too")
    ORDER_QUESTION = gettext_lazy("Which order is it?")
    lines: Sequence[Any]
    more: forms.Form

    def __init__(self, data: Any, version: int) -> None:
        """`version` is that of now. Raises ValidationError where `data` is not of a page."""
        self.data, self.is_bound = data, data is not None
        self.errors: list[str] = []
        self.conflict: LinesConflict[S] | None = None
        try:
            self.version = int(data["version"]) if data is not None else version
        except (KeyError, ValueError):
            raise ValidationError(_("This page is not whole. Open it anew.")) from None

    def wanted(self) -> S:
        """All of it as it was typed, in its new order."""
        raise NotImplementedError

    def shown(self, line: Any) -> str:
        """A line where two orders stand beside each other."""
        raise NotImplementedError

    def label_of(self, clash: Clash) -> str:
        """What two values of it are asked about."""
        raise NotImplementedError

    def value_of(self, clash: Clash, value: Any) -> str:
        """One of two values, in words."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        return format_duration(value) if clash.field.endswith("_s") else str(value or "")

    def data_of(self, line: str) -> Any:
        # What the page did not show was not emptied by anybody.
        return self.data if self.is_bound and f"{line}-place" in self.data else None

    def is_valid(self) -> bool:
        checked = [form.is_valid() for form in (*self.lines, self.more) if form.is_bound]
        return self.is_bound and all(checked)

    def typed_lines(self) -> list[Any]:
        """The lines as they were typed, in their new order, without those taken out."""
        rows: Sequence[RowForm] = self.lines
        made = {row.line.id: row.made() if row.is_bound else row.line for row in rows}
        order = by_places(
            [
                (row.line.id, row.was_at, row.cleaned_data["place"] if row.is_bound else 0)
                for row in rows
            ]
        )
        lines = [line for each in order if (line := made[each]) is not None]
        return stepped(lines, str(self.data.get("do", "")))

    @property
    def decided(self) -> dict[str, str]:
        return {
            name.removeprefix(DECIDED): str(self.data[name])
            for name in self.data
            if name.startswith(DECIDED)
        }

    def refuse(self, refused: LinesRefused) -> None:
        by_id = {form.line.id: form for form in self.lines}
        for where, words in refused.wrong.items():
            if where in by_id and by_id[where].is_bound:
                by_id[where].add_error("place", words)
            else:
                self.errors.append(words)

    def ask(self, conflict: LinesConflict[S]) -> None:
        self.conflict = conflict

    @property
    def seen(self) -> int:
        """The version whose conflict the page shows."""
        return self.conflict.version if self.conflict else 0

    @property
    def orders(self) -> list[tuple[str, str, list[str]]]:
        """The orders to choose from: value, whose, and the lines."""
        if self.conflict is None or self.conflict.merged.orders is None:
            return []
        orders = self.conflict.merged.orders
        state: Any = self.conflict.merged.state
        lines = state.by_id
        named = [
            (
                "now",
                _("Now there, by {name}").format(name=self.conflict.theirs.by_name),
                orders.now,
            ),
            ("typed", _("Yours"), orders.mine),
            ("both", _("Both: their moves and yours"), orders.both),
        ]
        different = {ids: (value, whose, ids) for value, whose, ids in reversed(named)}
        return [
            (value, whose, [self.shown(lines[each]) for each in ids])
            for value, whose, ids in reversed(different.values())
        ]

    @property
    def clashes(self) -> list[dict[str, str]]:
        if self.conflict is None:
            return []
        return [
            {
                "name": f"{DECIDED}{clash.key}",
                "label": self.label_of(clash),
                "typed": self.value_of(clash, clash.mine),
                "now": self.value_of(clash, clash.now),
            }
            for clash in self.conflict.merged.clashes
        ]

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, each with the id of the field it is wrong at."""
        found = [("", words) for words in self.errors]
        for form in (*self.lines, self.more):
            for bound in form:
                found += [
                    (bound.auto_id, _("{field}: {error}").format(field=bound.label, error=error))
                    for error in bound.errors
                ]
        return found


def by_places(rows: Sequence[tuple[str, int, int]]) -> list[str]:
    """Ids in the order that numbers ask for. A row: id, place shown, place typed (0: none).

    What was given another number stands there; the rest keeps its order around it. Two that ask
    for one place stand there one after the other.
    """
    wanted: dict[int, list[str]] = {}
    rest = []
    for each, was_at, typed in rows:
        if typed and typed != was_at:
            wanted.setdefault(min(typed, len(rows)), []).append(each)
        else:
            rest.append(each)
    result: list[str] = []
    while len(result) < len(rows):
        due = [place for place in wanted if place <= len(result) + 1]
        if due or not rest:
            result += wanted.pop(min(due or wanted))
        else:
            result.append(rest.pop(0))
    return result


def stepped(lines: list[L], pressed: str) -> list[L]:
    """The lines after one step of the arrow that was pressed, “up:id” or “down:id”."""
    way, _, each = pressed.partition(":")
    ids = [line.id for line in lines]
    if way in ("up", "down") and each in ids:
        at = ids.index(each)
        to = at - 1 if way == "up" else at + 1
        if 0 <= to < len(lines):
            lines[at], lines[to] = lines[to], lines[at]
    return lines
