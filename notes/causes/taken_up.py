"""Take a cause up, say how it turned out, and count how often which kind was it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core.models import Production, User
from notes.causes import rank, words
from notes.causes.kept import METHOD
from notes.causes.rank import Cause
from notes.causes.retold import NOTHING_BEYOND, READING
from notes.causes.signed import Tonight
from notes.journal.services import NoteContent, write_note
from notes.models import CauseOutcome, Clip, NamedCause, Note, SignOff

Outcome = CauseOutcome.Outcome


@dataclass(frozen=True, slots=True)
class Tally:
    """How often a kind of cause was taken up in a production, and how it turned out."""

    said: int = 0
    was: int = 0
    was_not: int = 0

    @property
    def words(self) -> str:
        """“Said 4 times here: 3 were it, 1 was not.” Empty where it was never said."""
        if not self.said:
            return ""
        counts = (
            (ngettext("{n} was it", "{n} were it", self.was), self.was),
            (ngettext("{n} was not", "{n} were not", self.was_not), self.was_not),
            (ngettext("{n} undecided", "{n} undecided", self._open), self._open),
        )
        outcomes = _(", ").join(words.format(n=n) for words, n in counts if n)
        said = ngettext(
            "Said once here: {outcomes}.", "Said {n} times here: {outcomes}.", self.said
        )
        return said.format(n=self.said, outcomes=outcomes)

    @property
    def _open(self) -> int:
        return self.said - self.was - self.was_not


@transaction.atomic
def take_up(tonight: Tonight, key: str, *, by: User) -> NamedCause:
    """Write the cause of that key down as a note, to be tried or changed because of; once for each
    clip and signature, whoever asks again. Raises ValidationError for what is not among them."""
    causes = tonight.ranking.causes
    place = next((at for at, each in enumerate(causes, 1) if each.key == key and each.size), None)
    if place is None:
        raise ValidationError(_("Choose one of the causes."))
    clip, cause = tonight.clip, causes[place - 1]
    _queue_at(clip.pk)
    if there := named_for(clip, tonight.sign_off).filter(kind=key).first():
        return there
    heard = NoteContent(
        verdict=Note.Verdict.ADJUST, reading=reading(tonight, cause), inputs=[clip.input]
    )
    made = NamedCause(
        clip=clip,
        sign_off=tonight.sign_off,
        note=write_note(rig=clip.rig, heard=heard, by=by),
        kind=key,
        words=words.named(cause)[:200],
        place=place,
        share=round(cause.share, 4),
        method=f"{METHOD} {rank.METHOD}",
        by=by,
        by_name=by.name,
    )
    made.stamp("at")
    made.save(force_insert=True)
    return made


def reading(tonight: Tonight, cause: Cause) -> str:
    """What goes into the note; in English, since it is kept."""
    return READING.format(
        clip=tonight.clip,
        signed=tonight.signed,
        differs="; ".join(words.differences(tonight.ranking)) or NOTHING_BEYOND,
        cause=words.named(cause),
        tells=cause.tells,
    )


@transaction.atomic
def say_outcome(cause: NamedCause, outcome: str, said: str, *, by: User) -> CauseOutcome:
    """Put on record how it turned out; the newest counts, what was said before stays. Saying the
    same again changes nothing. Raises ValidationError."""
    if outcome not in Outcome.values:
        raise ValidationError({"outcome": _("Say whether it was that.")})
    _queue_at(cause.clip_id)
    last = cause.outcomes.first()
    made = CauseOutcome(cause=cause, outcome=outcome, words=said.strip(), by=by, by_name=by.name)
    made.full_clean(exclude=["cause", "by", "by_name"])
    if last and (last.outcome, last.words) == (made.outcome, made.words):
        return last
    made.stamp("at")
    made.save(force_insert=True)
    return made


def _queue_at(clip: UUID) -> None:
    """Causes and outcomes never change: the row of their clip is what two tabs queue at."""
    Clip.objects.select_for_update(no_key=True).get(pk=clip)


def named_for(clip: Clip, sign_off: SignOff) -> QuerySet[NamedCause]:
    return with_outcome(NamedCause.objects.filter(clip=clip, sign_off=sign_off))


def named_in(production: Production) -> QuerySet[NamedCause]:
    """All causes that were taken up, newest first, each with how it turned out in `outcome`."""
    return with_outcome(NamedCause.objects.filter(clip__production=production))


def with_outcome(causes: QuerySet[NamedCause]) -> QuerySet[NamedCause]:
    newest = CauseOutcome.objects.filter(cause=OuterRef("pk")).order_by("-at", "-pk")
    said = Subquery(newest.values("outcome")[:1])
    return causes.annotate(outcome=Coalesce(said, Value(Outcome.UNDECIDED.value)))


def tallies(production: Production) -> Mapping[str, Tally]:
    """By the key of each kind; of one that was never taken up, an empty one. One query."""
    rows = named_in(production).order_by().values_list("kind", "outcome")  # type: ignore[misc]
    counts: Counter[tuple[str, str]] = Counter(rows)
    found: dict[str, Tally] = defaultdict(Tally)
    for kind in {kind for kind, _outcome in counts}:
        each = {outcome: counts[kind, outcome] for outcome in Outcome.values}
        found[kind] = Tally(sum(each.values()), each[Outcome.WAS], each[Outcome.WAS_NOT])
    return found
