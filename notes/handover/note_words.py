"""What a note in a handover says, in one line."""

from __future__ import annotations

from notes.causes.retold import reading_told
from notes.handover.compare import Plain
from notes.models import without_words


def heard_words(note: Plain) -> str:
    """What was said, else what it is read as, else the verdict alone."""
    return str(note["words"] or reading_told(note["reading"]) or without_words(note["verdict"]))
