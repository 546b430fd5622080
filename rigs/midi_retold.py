"""What is said of MIDI messages and was stored in English, in the language of the reader.

Apart from `rigs.midi`, which rules know, since they need no database.
"""

from __future__ import annotations

from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from core.languages.sentences import each_retold
from core.languages.words import retold

_MESSAGES = (
    gettext_noop("channel {number}"),
    gettext_noop("no channel"),
    gettext_noop("bank {number}"),
    gettext_noop("program {number} ({other} from 0)"),
    gettext_noop("program {number} ({other} from 1)"),
    gettext_noop("control {number} to {value}"),
    gettext_noop("control {number} (channel mode: {mode}) to {value}"),
)


def message_retold(words: str) -> str:
    """`message_text` as it was stored in English, in the language of the reader."""
    return each_retold(words, lambda each: retold(each, _MESSAGES, mode=_))
