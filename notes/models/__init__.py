"""Models of notes: what was heard, tried, changed because of it, signed and handed over."""

from __future__ import annotations

from notes.models.blind import BlindAnswer, BlindInvitation, BlindSitting, BlindTrial
from notes.models.captures import CapturePair
from notes.models.causes import CauseOutcome, NamedCause, SignedScatter
from notes.models.clips import Clip, StoredSound
from notes.models.demonstration import Demonstration
from notes.models.evidence import AlternativeClip, ChangeClip
from notes.models.handover import Acknowledgement, Answer, Handover, Question
from notes.models.linecheck import OF_LINE_CHECKS, LineCheck, LineCheckMark
from notes.models.listening import ListeningSession, Note, ReasonLink, without_words
from notes.models.memos import EarlierWords, NoteMemo
from notes.models.monitors import (
    MixSignOff,
    MixSignRequest,
    MixVersion,
    MixWish,
    MixWishMark,
    MonitorMix,
)
from notes.models.note_photos import NotePhoto, shown_photos
from notes.models.published import PublishedHandover, Reminder
from notes.models.signing import Party, SignOff, SignRequest
from notes.models.takes import RecordedFile, Recording, Take
from notes.models.trials import Alternative, AlternativeVerdict, Trial

__all__ = [
    "OF_LINE_CHECKS",
    "Acknowledgement",
    "Alternative",
    "AlternativeVerdict",
    "AlternativeClip",
    "ChangeClip",
    "Answer",
    "BlindAnswer",
    "BlindInvitation",
    "BlindSitting",
    "BlindTrial",
    "CapturePair",
    "CauseOutcome",
    "Clip",
    "Demonstration",
    "Handover",
    "LineCheck",
    "LineCheckMark",
    "ListeningSession",
    "EarlierWords",
    "MixSignOff",
    "MixSignRequest",
    "MixVersion",
    "MixWish",
    "MixWishMark",
    "MonitorMix",
    "NamedCause",
    "Note",
    "NoteMemo",
    "NotePhoto",
    "Party",
    "PublishedHandover",
    "Question",
    "ReasonLink",
    "RecordedFile",
    "Recording",
    "Reminder",
    "SignOff",
    "SignRequest",
    "SignedScatter",
    "StoredSound",
    "Take",
    "Trial",
    "shown_photos",
    "without_words",
]
