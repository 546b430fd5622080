"""A rig beside what its player signed: controls that moved since show where they stood."""

from __future__ import annotations

from typing import NamedTuple

from rigs.describing import RigView, snapshot_view
from rigs.models import Rig
from rigs.panels import Signed, last_signed
from rigs.revisions.edits import Snapshot
from rigs.revisions.read import as_of, live


class Beside(NamedTuple):
    """The rig as it is, and what was signed; None where nothing was, or nothing came after."""

    view: RigView
    signed: Signed | None


def live_view(rig: Rig) -> Beside:
    """The rig as it is. Three queries more than without: the signature, and the state then."""
    return beside(rig, live(rig))


def beside(rig: Rig, state: Snapshot) -> Beside:
    """`state`, the newest of `rig`, with its controls held against what was signed."""
    signed = last_signed(rig)
    if signed is None or signed.number >= rig.head_number:
        return Beside(snapshot_view(rig, state), None)
    before = as_of(rig, signed.number)
    return Beside(snapshot_view(rig, state, before=before, since_signed=True), signed)
