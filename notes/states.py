"""What became of a note: open, led to a change, or settled. Derived, never stored.

A note is settled when it says that things are to stay as they are, when somebody put it to rest in
words, or when the last that was heard of the last change it led to is that it helped or is kept.
"""

from __future__ import annotations

from django.db.models import (
    Case,
    CharField,
    Exists,
    IntegerField,
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
    waiting = with_state(notes.filter(MAY_WAIT))
    # Asked in this order, the state is worked out only where something was heard of a change.
    return waiting.filter(~_led_to_change() | ~Q(state=NoteState.SETTLED))


def in_state(notes: QuerySet[Note], state: str) -> QuerySet[Note]:
    """The notes among `notes` in that state; they have been through `with_state`.

    By conditions that the database can weigh, not by the state that is worked out of them.
    """
    if state == NoteState.SETTLED:
        return notes.filter(_at_rest())
    waiting = notes.filter(MAY_WAIT)
    if state == NoteState.OPEN:
        return waiting.exclude(_led_to_change())
    return waiting.filter(_led_to_change(), ~Q(state=NoteState.SETTLED))


class CountOf(Subquery):
    """How many rows its query has."""

    template = "(SELECT COUNT(*) FROM (%(subquery)s) counted)"
    output_field = IntegerField()


def unsettled_of(production: OuterRef, most: int) -> CountOf:
    """How many notes of the production of an outer query are not settled; counted no further than
    `most`, so that it takes no longer where very many are."""
    here = unsettled(Note.objects.filter(production=production)).order_by()
    return CountOf(here.values("pk")[:most])


# What a note says by itself, as the indexes of notes have it; what came of it may say otherwise.
MAY_WAIT = ~Q(verdict=Note.Verdict.KEEP) & Q(settled_at=None)


def _led_to_change() -> Exists:
    return Exists(ReasonLink.objects.filter(note=OuterRef("pk")))


def _at_rest() -> Q:
    return (
        Q(verdict=Note.Verdict.KEEP)
        | Q(settled_at__isnull=False)
        | Q(last_outcome=Note.Outcome.HELPED)
        | Q(last_verdict=Note.Verdict.KEEP)
    )


def _state() -> Case:
    return Case(
        # First, because a note that led to a change may be settled since.
        When(_at_rest(), then=Value(NoteState.SETTLED.value)),
        When(Q(led_to_revision__isnull=False), then=Value(NoteState.LED_TO_CHANGE.value)),
        default=Value(NoteState.OPEN.value),
        output_field=CharField(),
    )
