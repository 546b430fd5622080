"""Take a form that changes a rig to the gateway, and bring back what the gateway said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction

from rigs.changes.reasons import Reason, ReasonRequired
from rigs.revisions.record import Conflict, record
from rigs.revisions.swaps import SwapUndecided

if TYPE_CHECKING:
    from core.models import User
    from rigs.editing.guarded import GuardedForm
    from rigs.models import Revision

F = TypeVar("F", bound="GuardedForm")


@dataclass(frozen=True, slots=True)
class Submission(Generic[F]):
    """`done`, or else the form to show again. `revision` is None where nothing changed."""

    form: F
    done: bool = False
    revision: Revision | None = None

    @property
    def status(self) -> int:
        """409 where somebody else changed the same thing, 200 otherwise."""
        return 409 if self.form.conflicted else 200


def attempt(form: F, *, author: User, reason: Reason | None = None) -> Submission[F]:
    """Make the change that `form` describes, if it is valid. `reason` stands in for a typed one.

    What the gateway refuses ends up in the form: at its field, or as both values of a conflict.
    """
    if not form.is_bound or not form.is_valid():
        return Submission(form)
    return hand_over(form, author=author, reason=reason)


def hand_over(form: F, *, author: User, reason: Reason | None = None) -> Submission[F]:
    """Like `attempt`, for a form that is known to be valid."""
    why = form.reason() if reason is None else reason
    try:
        with transaction.atomic():
            form.prepare()
            made = record(form.rig, form.edits(), author=author, base=form.base, reason=why)
    except Conflict as conflict:
        # A new form, on the rig as it is now: it shows both values and asks which of them stays.
        return Submission(form.again(conflict))
    except ReasonRequired as refusal:
        form.add_error(form.reason_field(), str(refusal))
        return Submission(form)
    except SwapUndecided as undecided:
        form.ask(undecided)
        return Submission(form)
    except ValidationError as error:
        form.place(error)
        return Submission(form)
    return Submission(form, done=True, revision=made)
