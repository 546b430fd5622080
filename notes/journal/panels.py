"""What notes shows on the pages of rigs: why it is so, what is open, what was tried.

A guest reads the rig and hears its clips; what the crew said about it is the crew's.
"""

from __future__ import annotations

from django.http import HttpRequest

from core.access.views import guest_of
from core.composed import Composed, column
from core.places import Panel
from notes.comparing.evidence import heard_of
from notes.journal.log import reasoned_changes
from notes.models import Clip, Note, Trial
from notes.queries import clips_for_rows, for_cards, trials_for_cards
from notes.states import unsettled, with_state
from rigs.models import Input, Revision, Rig

NEWEST = 5  # reasoned changes on a rig's page, clips on an input's
SHOWN = 20  # open notes, notes of an input


def why(request: HttpRequest, rig: Rig) -> Panel | None:
    if guest_of(request):
        return None
    return Panel(
        "notes/journal/panels/why.html", {"rig": rig, "entries": reasoned_changes(rig, NEWEST)}
    )


def still_open(request: HttpRequest, rig: Rig) -> Panel | None:
    if guest_of(request):
        return None
    notes, more = _first(_open_of_rig(rig.pk))
    return Panel(
        "notes/journal/panels/open.html",
        {"rig": rig, "open_notes": notes, "more": more, "open_trials": _trials_of_rig(rig.pk)},
    )


def of_input(request: HttpRequest, input: Input) -> Panel | None:
    if guest_of(request):
        return None
    notes, more = _first(_heard_of_input(input.pk))
    return Panel(
        "notes/journal/panels/input.html",
        {
            "input": input,
            "input_notes": notes,
            "more": more,
            "input_trials": _trials_of_input(input.pk),
        },
    )


def clips_of_input(request: HttpRequest, input: Input) -> Panel:
    rows = _clips_of_input(input.pk)
    context = {"input": input, "clips": rows[:NEWEST], "more": len(rows) > NEWEST}
    return Panel("notes/comparing/_clips_of_input.html", context)


def of_revision(request: HttpRequest, revision: Revision) -> Panel:
    return Panel(
        "notes/comparing/_of_change.html", {"revision": revision, "heard": heard_of(revision)}
    )


def _first(notes: list[Note]) -> tuple[list[Note], bool]:
    return notes[:SHOWN], len(notes) > SHOWN


# One more than is shown, so that no second query has to count.
_open_of_rig = Composed(
    lambda rig: for_cards(unsettled(Note.objects.filter(rig=rig)))[: SHOWN + 1],
    column(Note, "rig"),
)
_heard_of_input = Composed(
    lambda entry: for_cards(with_state(Note.objects.filter(inputs=entry)))[: SHOWN + 1],
    column(Input),
)
_trials_of_rig = Composed(
    lambda rig: trials_for_cards(Trial.objects.filter(rig=rig, decided_at=None)),
    column(Trial, "rig"),
)
_trials_of_input = Composed(
    lambda entry: trials_for_cards(Trial.objects.filter(input=entry)), column(Trial, "input")
)
_clips_of_input = Composed(
    lambda entry: clips_for_rows(Clip.objects.live().filter(input=entry))[: NEWEST + 1],
    column(Clip, "input"),
)
