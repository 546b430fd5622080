"""The form that confirms that a part is retired; for an input it asks for the reason."""

from __future__ import annotations

from typing import Any, Self

from django.http import QueryDict

from rigs.changes.edits import Edit
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.latest import latest_changes
from rigs.models import Part, Rig
from rigs.retire.services import retire_edits
from rigs.revisions.record import Conflict
from rigs.wording.changes import ChangeLine, describe


class RetireForm(GuardedForm):
    """Retires `part` with what belongs to it. `news` are changes that others
    made to it while the form was open."""

    def __init__(self, rig: Rig, part: Part | Rig, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.part, self.kind = part, part.KIND
        self.news: list[ChangeLine] = []
        if self.kind == "input":
            self.add_reason_fields()

    def key(self, name: str) -> Key | None:
        return None

    def clean(self) -> dict[str, Any]:
        self.retirements = retire_edits(self.part)
        return self.cleaned_data

    def edits(self) -> list[Edit]:
        return self.retirements

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.part)
        form.conflicted = True
        form.retain_typed(self, [])
        parts = {clash.part for clash in conflict.clashes}
        form.news = describe(conflict.rig, latest_changes(self.rig, parts, [self.base]))
        return form
