"""Turn changes and states of rigs into words and values that a page can show as they are.

    describe(rig, revision.changes.all())       → list of ChangeLine
    describe_many(revisions)                    → {revision's primary key: list of ChangeLine}
    describe_between(rig, snapshot_a, snapshot_b) → list of ChangeLine
    snapshot_view(rig, snapshot)                → RigView: units, links, inputs, photos, songs …
    snapshot_views({rig: snapshot, …})          → the same of several rigs

Each needs a fixed number of queries, however long the history or the list is.
"""

from __future__ import annotations

from rigs.wording.build import snapshot_view, snapshot_views
from rigs.wording.changes import (
    ChangeGroup,
    ChangeLine,
    describe,
    describe_between,
    describe_many,
    grouped,
)
from rigs.wording.unit_views import (
    ControlView,
    FactView,
    PhotoView,
    PinPlace,
    PinView,
    SpareView,
    UnitView,
)
from rigs.wording.views import (
    DeviceView,
    DifferenceView,
    GroupView,
    InputView,
    LinkView,
    RigView,
    SceneView,
    SongView,
    Spec,
)

__all__ = [
    "ChangeLine",
    "ControlView",
    "DeviceView",
    "DifferenceView",
    "FactView",
    "GroupView",
    "ChangeGroup",
    "InputView",
    "LinkView",
    "PhotoView",
    "PinPlace",
    "PinView",
    "RigView",
    "SceneView",
    "SongView",
    "SpareView",
    "Spec",
    "UnitView",
    "describe",
    "describe_between",
    "describe_many",
    "grouped",
    "snapshot_view",
    "snapshot_views",
]
