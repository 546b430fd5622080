"""Write the specification. Each write is one transaction, with its line in the history."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy, gettext_noop

from core.authors import GuestAuthor
from core.languages.choice import as_stored
from core.languages.sentences import Sentences
from core.models import Leg, Show, User
from core.search.backend import index_all
from core.services.changed import changed_retold, changed_words
from core.services.ordering import next_position
from rigs.backline.search import lines as search_entries
from rigs.models import BacklineAnswer, BacklineChange, BacklineLine

RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing what is asked for.")
RETIRED_LEG = gettext_lazy("This leg is retired. Restore it before changing what is asked for.")

_LINE = ("what", "count", "wanted", "accepted", "refused", "notes")
_ANSWER = ("offered", "from_whom", "reply", "came", "came_count", "notes")


class Says(Sentences):
    """What the history of a specification says, besides what differs in it."""

    ASKED_FOR = gettext_noop("Asked for: {line}.")
    AGAIN = gettext_noop("Asked for again.")
    NO_MORE = gettext_noop("Not asked for any more.")


@BacklineChange.told_by
def told_of(change: BacklineChange) -> list[str]:
    """What changed in a line or an answer to it, in the language of the reader."""
    row, names = (BacklineAnswer, _ANSWER) if change.show_id else (BacklineLine, _LINE)
    return [Says.retold(changed_retold(each, row, names)) for each in change.words]


def check_live(leg: Leg, show: Show | None) -> None:
    """Raise ValidationError where nothing may be written any more."""
    if show is not None and show.is_retired:
        raise ValidationError(RETIRED_SHOW)
    if leg.is_retired:
        raise ValidationError(RETIRED_LEG)


@transaction.atomic
def save_line(line: BacklineLine, *, by: User) -> list[str]:
    """Store a line that was checked; what changed in sentences. Writes nothing if nothing did."""
    check_live(line.leg, line.show)
    if line._state.adding:
        # Two people who add at once take turns, and get a place each.
        Leg.objects.select_for_update().get(pk=line.leg_id)
        line.position = next_position(BacklineLine.objects.filter(leg=line.leg_id))
        words = [Says.ASKED_FOR.in_english(line=line)]
    else:
        with as_stored():
            words = changed_words(BacklineLine.objects.get(pk=line.pk), line, _LINE)
    if words:
        line.save()
        _note(line, None, words, by)
    return words


@transaction.atomic
def save_answer(answer: BacklineAnswer, *, by: User | GuestAuthor) -> list[str]:
    """Store what was offered and came, as `save_line` does a line."""
    check_live(answer.line.leg, answer.show)
    is_new = answer._state.adding
    was = BacklineAnswer() if is_new else BacklineAnswer.objects.get(pk=answer.pk)
    # Who answered as a guest stands beside the sentence, where a name can be forgotten.
    told = _ANSWER if isinstance(by, User) else tuple(f for f in _ANSWER if f != "from_whom")
    with as_stored():
        words = changed_words(was, answer, told)
    if words:
        answer.save()
        _note(answer.line, answer.show, words, by)
    return words


@transaction.atomic
def withdraw(line: BacklineLine, *, by: User, back: bool = False) -> None:
    """Take a line off the specification, or bring it back. What was said about it stays."""
    held = BacklineLine.objects.select_for_update().get(pk=line.pk)
    check_live(held.leg, held.show)
    if held.is_retired is not back:
        return  # pressed twice
    held.restore() if back else held.retire()
    _note(held, None, [(Says.AGAIN if back else Says.NO_MORE).in_english()], by)


def _note(line: BacklineLine, show: Show | None, words: list[str], by: User | GuestAuthor) -> None:
    BacklineChange(line=line, show=show, words=words).put_down(by)
    index_all(search_entries(BacklineLine.objects.filter(pk=line.pk)))
