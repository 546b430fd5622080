"""Models of rigs: the rig and its parts, the device catalogue, photos, and the history."""

from __future__ import annotations

from rigs.models.facts import Fact
from rigs.models.findings import FindingWords, ShowFindingWords, WordsOnFinding
from rigs.models.imports import ListImport
from rigs.models.inputs import Device, Input
from rigs.models.parts import Part, Tracked
from rigs.models.photos import Photo, StoredPhoto
from rigs.models.pins import Pin
from rigs.models.revisions import ChangeRow, KeyFrame, Revision
from rigs.models.rigs import Rig
from rigs.models.search import IndexedRig
from rigs.models.shows import ShowHire, ShowInput, ShowRig
from rigs.models.songs import ChangeTimes, SongSetting
from rigs.models.spares import Spare, UpkeepEntry
from rigs.models.units import Control, Link, Unit

# Every kind of thing a revision can speak of, parents before those that point at them.
PARTS: dict[str, type[Tracked]] = {
    model.KIND: model
    for model in (Rig, Unit, Control, Fact, Spare, Link, Input, Photo, Pin, SongSetting)
}

__all__ = [
    "PARTS",
    "ChangeRow",
    "ChangeTimes",
    "Control",
    "Device",
    "Fact",
    "FindingWords",
    "ShowFindingWords",
    "WordsOnFinding",
    "IndexedRig",
    "Input",
    "KeyFrame",
    "Link",
    "ListImport",
    "Part",
    "Photo",
    "Pin",
    "Revision",
    "Rig",
    "ShowHire",
    "ShowInput",
    "ShowRig",
    "SongSetting",
    "Spare",
    "StoredPhoto",
    "Tracked",
    "Unit",
    "UpkeepEntry",
]
