"""What became of a note: open, led to a change, or settled. Derived, never stored.

A note is settled when it says that things are to stay as they are, when somebody put it to rest in
words, or when the last that was heard of the last change it led to is that it helped or is kept.
"""

from __future__ import annotations

from django.db.models import (
    Case,
    CharField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    TextChoices,
    UUIDField,
    Value,
    When,
)
from django.utils.translation import gettext_lazy

from notes.models import Note, ReasonLink


class NoteState(TextChoices):
    OPEN = "open", gettext_lazy("open")
    LED_TO_CHANGE = "led_to_change", gettext_lazy("led to a change")
    SETTLED = "settled", gettext_lazy("settled")


def with_state(notes: QuerySet[Note]) -> QuerySet[Note]:
    """`notes`, each with `state`, and of the last change it led to: `led_to_revision` (its key),
    `led_to_number`, `led_to_rig` (its rig's key), and `last_outcome`, `last_verdict` as heard.

    All are None where nothing followed. Adds no query.
    """
    # By key and not by number: a note may lead to changes of several rigs.
    links = ReasonLink.objects.filter(note=OuterRef("pk")).order_by("-revision_id")
    heard = Note.objects.filter(follows=OuterRef("led_to_revision")).order_by("-written_at", "-pk")
    return (
        notes.annotate(
            led_to_revision=Subquery(links.values("revision_id")[:1]),
            led_to_number=Subquery(links.values("revision__number")[:1]),
            led_to_rig=Subquery(links.values("revision__rig_id")[:1], UUIDField()),
        )
        .annotate(
            last_outcome=Subquery(heard.values("outcome")[:1]),
            last_verdict=Subquery(heard.values("verdict")[:1]),
        )
        .annotate(state=_state())
    )


def unsettled(notes: QuerySet[Note]) -> QuerySet[Note]:
    """The notes among `notes` that are not settled, with their state."""
    return with_state(notes).exclude(state=NoteState.SETTLED)  # type: ignore[misc]


def _state() -> Case:
    at_rest = (
        Q(verdict=Note.Verdict.KEEP)
        | Q(settled_at__isnull=False)
        | Q(last_outcome=Note.Outcome.HELPED)
        | Q(last_verdict=Note.Verdict.KEEP)
    )
    return Case(
        # First, because a note that led to a change may be settled since.
        When(at_rest, then=Value(NoteState.SETTLED.value)),
        When(Q(led_to_revision__isnull=False), then=Value(NoteState.LED_TO_CHANGE.value)),
        default=Value(NoteState.OPEN.value),
        output_field=CharField(),
    )
