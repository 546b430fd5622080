"""A copy on paper of what somebody said of a rig: the words, and the rig exactly as it was."""

from __future__ import annotations

from django.utils.translation import gettext as _

from notes.models import SignOff
from rigs.paper.pdf import Paper
from rigs.paper.sheets import printed_at, sheet_of
from rigs.revisions.read import as_of
from rigs.wording import snapshot_view


def copy_of(made: SignOff, *, address: str, paper: Paper) -> bytes:
    """The PDF. `made` with its rig and revision; `address` is where the crew finds the rig."""
    rig, number = made.rig, made.revision.number
    is_signed = made.decision == SignOff.Decision.SIGNED
    said = (
        _("{name}: this is my sound, {at}.") if is_signed else _("{name}: not yet, {at}.")
    ).format(name=made.name, at=printed_at(made.at))
    if made.words:
        said = f"{said} “{made.words}”"
    return sheet_of(
        rig,
        snapshot_view(rig, as_of(rig, number)),
        title=(_("Signed: {rig}") if is_signed else _("Not signed yet: {rig}")).format(rig=rig),
        address=address,
        paper=paper,
        stamp=_("As of change {number}. Seal {seal}").format(number=number, seal=made.seal[:16]),
        moved=said,
    )
