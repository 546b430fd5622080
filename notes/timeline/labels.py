"""What a mark is called, and the address of its record's page. Asked for a few at a time."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from core.languages.words import apart
from core.models import Production, Show
from notes.models import Note, NotePhoto, SignOff, Trial, shown_photos
from notes.timeline.marks import MarkKind
from rigs.models import Revision
from rigs.wording import describe_many


@dataclass(frozen=True, slots=True)
class Face:
    """`title` names the record, `words` say what it was about, `who` and `rig` may be empty."""

    title: str
    words: str
    url: str
    who: str = ""
    rig: str = ""
    photos: Sequence[NotePhoto] = ()


Faces = dict[int | UUID, Face]


# What stands above the lane of each kind.
LANES = {
    MarkKind.SHOW: gettext_lazy("Shows"),
    MarkKind.CHANGE: gettext_lazy("Changes"),
    MarkKind.NOTE: gettext_lazy("Notes"),
    MarkKind.TRIAL: gettext_lazy("Trials"),
    MarkKind.SIGN_OFF: gettext_lazy("Sign-offs"),
}
_COUNTED = {
    MarkKind.SHOW: ngettext_lazy("{n} show", "{n} shows", "n"),
    MarkKind.CHANGE: ngettext_lazy("{n} change", "{n} changes", "n"),
    MarkKind.NOTE: ngettext_lazy("{n} note", "{n} notes", "n"),
    MarkKind.TRIAL: ngettext_lazy("{n} trial", "{n} trials", "n"),
    MarkKind.SIGN_OFF: ngettext_lazy("{n} sign-off", "{n} sign-offs", "n"),
}


def counted(kind: MarkKind, n: int) -> str:
    """“3 changes”."""
    return _COUNTED[kind].format(n=n)


def faces(kind: MarkKind, keys: Collection[Any], production: Production) -> Faces:
    """The faces of records of `kind` by primary key, in a fixed number of queries."""
    return _MAKERS[kind](keys, production) if keys else {}


def _shows(keys: Collection[Any], production: Production) -> Faces:
    return {
        show.pk: Face(
            " · ".join(filter(None, [_("Show"), show.room])),
            show.town,
            reverse("rigs:show_inputs", args=[production.pk, show.pk]),
        )
        for show in Show.objects.filter(pk__in=keys)
    }


def _changes(keys: Collection[Any], production: Production) -> Faces:
    revisions = Revision.objects.filter(pk__in=keys).select_related("rig__production")
    rows = list(revisions.prefetch_related("changes"))
    lines = describe_many(rows)
    return {
        row.pk: Face(
            _("Change {number}").format(number=row.number),
            _few([line.sentence for line in lines[row.pk]]),
            reverse("rigs:revision", args=[production.pk, row.rig_id, row.number]),
            row.author_name,
            str(row.rig),
        )
        for row in rows
    }


def _few(sentences: list[str], most: int = 2) -> str:
    more = len(sentences) - most
    text = apart(sentences[:most])
    if more <= 0:
        return text
    return ngettext("{text} (and {n} more)", "{text} (and {n} more)", more).format(
        text=text, n=more
    )


def _notes(keys: Collection[Any], production: Production) -> Faces:
    notes = Note.objects.filter(pk__in=keys).select_related("rig", "written_by")
    return {
        note.pk: Face(
            _("Note"),
            str(note),
            reverse("notes:note", args=[production.pk, note.pk]),
            str(note.written_by),
            str(note.rig),
            note.shown_photos,  # type: ignore[attr-defined]
        )
        for note in notes.prefetch_related(shown_photos())
    }


def _trials(keys: Collection[Any], production: Production) -> Faces:
    trials = Trial.objects.filter(pk__in=keys).select_related("rig", "opened_by")
    return {
        trial.pk: Face(
            _("Trial"),
            (_("{question} (open)") if trial.is_open else _("{question} (decided)")).format(
                question=trial.question
            ),
            reverse("notes:trial", args=[production.pk, trial.pk]),
            str(trial.opened_by),
            str(trial.rig),
        )
        for trial in trials
    }


def _sign_offs(keys: Collection[Any], production: Production) -> Faces:
    sign_offs = SignOff.objects.filter(pk__in=keys).select_related("rig", "revision")
    return {
        row.pk: Face(
            _("Signed") if row.decision == SignOff.Decision.SIGNED else _("Withheld"),
            " ".join(
                filter(None, [_("Change {number}.").format(number=row.revision.number), row.words])
            ),
            reverse("rigs:revision", args=[production.pk, row.rig_id, row.revision.number]),
            f"{row.name}, {row.get_party_display()}",
            str(row.rig),
        )
        for row in sign_offs
    }


_MAKERS = {
    MarkKind.SHOW: _shows,
    MarkKind.CHANGE: _changes,
    MarkKind.NOTE: _notes,
    MarkKind.TRIAL: _trials,
    MarkKind.SIGN_OFF: _sign_offs,
}
