"""A copy on paper of what somebody said of a rig: the words, and the rig exactly as it was."""

from __future__ import annotations

from django.utils.translation import gettext as _

from core.proof.checkpoints import stamp_of
from notes.models import MixSignOff, SignOff
from rigs.paper.pdf import Paper
from rigs.paper.sheets import printed_at, sheet_of
from rigs.revisions.read import as_of
from rigs.wording import snapshot_view


def copy_of(made: SignOff, *, paper: Paper) -> bytes:
    """The PDF. `made` with its rig and revision. No code: whoever gets it has no account to open
    the rig with."""
    rig, number = made.rig, made.revision.number
    is_signed = made.decision == SignOff.Decision.SIGNED
    return sheet_of(
        rig,
        snapshot_view(rig, as_of(rig, number)),
        title=(_("Signed: {rig}") if is_signed else _("Not signed yet: {rig}")).format(rig=rig),
        address="",
        paper=paper,
        stamp=stamp_of(
            rig.production_id,
            made.at,
            _("As of change {number}. Seal {seal}").format(number=number, seal=made.seal[:16]),
        ),
        moved=said_in(made, _("{name}: this is my sound, {at}.")),
    )


def said_in(made: SignOff | MixSignOff, signed: str) -> str:
    """Who said what and when, in their words; `signed` is what stands there for a signature."""
    is_signed = made.decision == SignOff.Decision.SIGNED
    said = (signed if is_signed else _("{name}: not yet, {at}.")).format(
        name=made.name, at=printed_at(made.at)
    )
    return f"{said} “{made.words}”" if made.words else said
