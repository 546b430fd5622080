"""What the history of a show's gear says: stored in English, told in the reader's language."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from core.languages.sentences import Sentences, label_retold
from rigs.midi_retold import message_retold
from rigs.models import UnitAtShow, UnitAtShowChange

NOT_SENT = gettext_noop("not sent")


class Says(Sentences):
    """What the history of a show’s gear says."""

    CAME = gettext_noop("another unit: {make}")
    CAME_FROM = gettext_noop("another unit: {make} from {whom}")
    DOCUMENTED = gettext_noop("as documented again")
    NOT_SET = gettext_noop("{name} not set")
    TUNED = gettext_noop("tuned {value}")
    STRINGS = gettext_noop("strings {value}")
    PLACE = gettext_noop("place {value}")
    RADIO = gettext_noop("RF {value}")
    PACK = gettext_noop("pack {value}")
    SESSION = gettext_noop("session {value}")
    MIDI_CHANNEL = gettext_noop("MIDI channel {value}")
    MIDI = gettext_noop("MIDI in “{song}”: {message}")
    BECAUSE = gettext_noop("because: {why}")
    NOW = gettext_noop("Now {lasts}.")
    ANOTHER_CAME = gettext_noop("Something else came.")
    AS_DOCUMENTED = gettext_noop("As documented again.")
    AS_OF_LEG = gettext_noop("As the leg has it again.")
    PERMANENT = gettext_noop("Made permanent in change {number}.")
    DID_WELL = gettext_noop("{make} did well")
    DID_NOT = gettext_noop("{make} did not do")
    DID_WELL_WORDS = gettext_noop("{make} did well: {words}")
    DID_NOT_WORDS = gettext_noop("{make} did not do: {words}")


@UnitAtShowChange.told_by
def told_of(change: UnitAtShowChange) -> list[str]:
    """What was said of a unit, in the language of the reader."""
    return [_retold(each) for each in change.words]


def _retold(words: str) -> str:
    if (lasts := _lasts_retold(words)) != words:
        return lasts
    return Says.retold(words, lasts=_lasts_retold, why=_why_retold, message=_message_retold)


def _lasts_retold(words: str) -> str:
    return label_retold(words, UnitAtShow.Lasts.labels)


def _why_retold(words: str) -> str:
    """“on trial, typed”: first the kind of reason, where one was chosen."""
    kind, comma, typed = words.partition(", ")
    column: Any = UnitAtShow._meta.get_field("why")
    told = label_retold(kind, [label for _key, label in column.flatchoices])
    return f"{told}{comma}{typed}"


def _message_retold(words: str) -> str:
    return _(words) if words == NOT_SENT else message_retold(words)
