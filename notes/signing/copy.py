"""A copy on paper of what somebody said of a rig: the words, and the rig exactly as it was."""

from __future__ import annotations

from notes.models import SignOff
from rigs.paper.pdf import Paper
from rigs.paper.sheets import printed_at, sheet_of
from rigs.revisions.read import as_of
from rigs.wording import snapshot_view


def copy_of(made: SignOff, *, address: str, paper: Paper) -> bytes:
    """The PDF. `made` with its rig and revision; `address` is where the crew finds the rig."""
    rig, number = made.rig, made.revision.number
    is_signed = made.decision == SignOff.Decision.SIGNED
    said = f"{made.name}: {'this is my sound' if is_signed else 'not yet'}, {printed_at(made.at)}."
    if made.words:
        said = f"{said} “{made.words}”"
    return sheet_of(
        rig,
        snapshot_view(rig, as_of(rig, number)),
        title=f"{'Signed' if is_signed else 'Not signed yet'}: {rig}",
        address=address,
        paper=paper,
        stamp=f"As of change {number}. Seal {made.seal[:16]}",
        moved=said,
    )
