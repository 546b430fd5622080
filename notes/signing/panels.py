"""What the pages of rigs show of signing: at the top of a rig, and beside each rig of a list."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.http import HttpRequest

from core.access.policy import Action, allowed
from core.access.views import guest_of
from core.composed import Composed, column
from core.places import Panel
from notes.models import Party, SignOff
from notes.signing.parties import parties_for
from notes.signing.since import NONE, Since, since_revision
from notes.signing.states import (
    PartyState,
    PartyStatus,
    SignOffStatus,
    sign_off_status_of,
    sign_off_statuses,
    signed_words,
)
from rigs.knob_check.confirming import marks_of
from rigs.models import Rig
from rigs.places import SignedState, SoundWords


def rig_top(request: HttpRequest, rig: Rig) -> Panel:
    """How it should sound, whether that is still what was signed, and what differs since."""
    status = sign_off_status_of(rig)
    oldest = _spoke_before(status)
    context = {
        "rig": rig,
        "status": status,
        # What differs since comes with the crew's reasons, and those stay with the crew.
        "signed": None if guest_of(request) else oldest,
        "sound_differs": oldest is not None and oldest.state == PartyStatus.CHANGED,
        "since": _since(rig, oldest),
        "panel_marks": marks_of([rig.pk]),
        "may_sign": _may_sign(request, rig),
        "may_ask": not rig.retired and _may(request, Action.ASK_SIGNATURE),
    }
    return Panel("notes/signing/_rig_top.html", context)


def last_signed(rig: Rig) -> SignedState | None:
    """What the player accepted last, whatever they withheld since. One query."""
    for sign_off in _accepted_last(rig.pk):
        return SignedState(sign_off.revision.number, sign_off.name, sign_off.at)
    return None


_accepted_last = Composed(
    lambda rig: (
        SignOff.objects.filter(rig=rig, party=Party.PLAYER, decision=SignOff.Decision.SIGNED)
        .select_related("revision")
        .order_by("-at", "-pk")[:1]
    ),
    column(SignOff, "rig"),
)


def words_of(rigs: Sequence[Rig]) -> dict[UUID, SoundWords]:
    """The words of those rigs whose player's last word is a signature. Two queries."""
    return {
        pk: SoundWords(words, sign_off.name, sign_off.at)
        for pk, (sign_off, words) in signed_words(rigs).items()
    }


def rig_rows(request: HttpRequest, rigs: Sequence[Rig]) -> Panel:
    """Each rig gets its `sign_off_status`; the template shows it for the `rig` of the row."""
    statuses = sign_off_statuses(rigs)
    for rig in rigs:
        rig.sign_off_status = statuses[rig.pk]  # type: ignore[attr-defined]
    return Panel("notes/signing/_rig_row.html", {"statuses": statuses})


def _spoke_before(status: SignOffStatus) -> PartyState | None:
    """Whose signature the differences are counted from: of those whose sound has changed since,
    or else of those with other changes since, the player's, or else the earliest."""
    # A sound that has changed matters more than other changes under a signature.
    for state in (PartyStatus.CHANGED, PartyStatus.SIGNED):
        parties = [each for each in status.parties if each.state == state and each.changes_since]
        if parties:
            is_player = parties[0].party == status.player.party
            # The most changes since is the earliest signature.
            return parties[0] if is_player else max(parties, key=lambda each: each.changes_since)
    return None


def _since(rig: Rig, state: PartyState | None) -> Since:
    if state is None or state.sign_off is None:
        return NONE
    return since_revision(rig, state.sign_off.revision.number)


def _may(request: HttpRequest, action: Action) -> bool:
    member = getattr(request, "member", None)
    return member is not None and allowed(member.roles, action)


def _may_sign(request: HttpRequest, rig: Rig) -> bool:
    member = getattr(request, "member", None)
    if member is None or rig.retired:
        return False
    return bool(parties_for(member.roles, member.player_ids, rig))
