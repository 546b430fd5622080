"""Models of rigs: the rig and its parts, the device catalogue, photos, and the history."""

from __future__ import annotations

from rigs.models.backline import BacklineAnswer, BacklineChange, BacklineLine
from rigs.models.carnet_goods import CarnetGoods, CarnetGoodsChange
from rigs.models.changeover import (
    Changeover,
    ChangeoverChange,
    ChangeoverMark,
    ChangeoverStep,
)
from rigs.models.facts import Fact
from rigs.models.findings import FindingWords, ShowFindingWords, WordsOnFinding
from rigs.models.imports import ListImport
from rigs.models.inputs import Device, Input
from rigs.models.panel_checks import PanelCheck, TurnBack
from rigs.models.parts import Part, Tracked
from rigs.models.patch import (
    LentLine,
    PatchBox,
    PatchBoxAtShow,
    PatchChange,
    PatchLine,
    PatchQuestion,
    PatchRun,
)
from rigs.models.photos import Photo, StoredPhoto
from rigs.models.pins import Pin
from rigs.models.plot import MainsDrop, PlotChange, PlotPlace, Riser, StageSize
from rigs.models.revisions import ChangeRow, KeyFrame, Revision
from rigs.models.rigs import Rig
from rigs.models.scenes import Scene, SceneEntry
from rigs.models.search import IndexedRig
from rigs.models.shows import ShowDep, ShowHire, ShowInput, ShowRig
from rigs.models.songs import ChangeTimes, SongSetting
from rigs.models.sources import Group, Member, Source
from rigs.models.spares import Spare, UpkeepEntry
from rigs.models.tonight import ControlAtShow, UnitAtShow, UnitAtShowChange
from rigs.models.units import Control, Link, Unit

# Every kind of thing a revision can speak of, parents before those that point at them.
PARTS: dict[str, type[Tracked]] = {
    model.KIND: model
    for model in (
        Rig,
        Unit,
        Control,
        Fact,
        Spare,
        Link,
        Group,
        Member,
        Input,
        Source,
        Photo,
        Pin,
        Scene,
        SceneEntry,
        SongSetting,
    )
}

__all__ = [
    "PARTS",
    "BacklineAnswer",
    "BacklineChange",
    "BacklineLine",
    "CarnetGoods",
    "CarnetGoodsChange",
    "ChangeRow",
    "ChangeTimes",
    "Changeover",
    "ChangeoverChange",
    "ChangeoverMark",
    "ChangeoverStep",
    "Control",
    "ControlAtShow",
    "Device",
    "Fact",
    "FindingWords",
    "Group",
    "IndexedRig",
    "Input",
    "KeyFrame",
    "LentLine",
    "Link",
    "ListImport",
    "MainsDrop",
    "Member",
    "PanelCheck",
    "Part",
    "PatchBox",
    "PatchBoxAtShow",
    "PatchChange",
    "PatchLine",
    "PatchQuestion",
    "PatchRun",
    "Photo",
    "Pin",
    "PlotChange",
    "PlotPlace",
    "Revision",
    "Rig",
    "Riser",
    "Scene",
    "SceneEntry",
    "ShowDep",
    "ShowFindingWords",
    "ShowHire",
    "ShowInput",
    "ShowRig",
    "SongSetting",
    "Source",
    "Spare",
    "StageSize",
    "StoredPhoto",
    "Tracked",
    "TurnBack",
    "Unit",
    "UnitAtShow",
    "UnitAtShowChange",
    "UpkeepEntry",
    "WordsOnFinding",
]
