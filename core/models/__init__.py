"""Models of core: people, productions, tours, songs, one-time links, the search index, uploads."""

from __future__ import annotations

from core.models.guests import GuestChange, GuestLink, GuestOpening
from core.models.kept import KeptResult
from core.models.links import OneTimeLink
from core.models.live import Presence
from core.models.once import DoneRequest
from core.models.people import User
from core.models.personal import PersonalText, Removal, RemovedFile
from core.models.productions import Membership, Player, Production
from core.models.proof import Checkpoint, LogBegun, LogEntry, LogNode, LogSalt
from core.models.research import Research
from core.models.rooms import RehearsalRoom
from core.models.search import IndexedProduction, SearchEntry, SearchWord
from core.models.sets import SetChange, SetEntry, ShowSet
from core.models.sign_in import (
    KnownDevice,
    LogIn,
    Passkey,
    RecoveryCode,
    SecondFactor,
    Tries,
)
from core.models.songs import Section, Song
from core.models.tours import Leg, Show
from core.models.uploads import Upload, UploadPiece

__all__ = [
    "Checkpoint",
    "DoneRequest",
    "GuestChange",
    "GuestLink",
    "GuestOpening",
    "IndexedProduction",
    "KeptResult",
    "KnownDevice",
    "Leg",
    "LogBegun",
    "LogEntry",
    "LogIn",
    "LogNode",
    "LogSalt",
    "Membership",
    "OneTimeLink",
    "Passkey",
    "PersonalText",
    "Player",
    "Presence",
    "Production",
    "RecoveryCode",
    "RehearsalRoom",
    "Removal",
    "RemovedFile",
    "Research",
    "SearchEntry",
    "SearchWord",
    "SecondFactor",
    "Section",
    "SetChange",
    "SetEntry",
    "Show",
    "ShowSet",
    "Song",
    "Tries",
    "Upload",
    "UploadPiece",
    "User",
]
