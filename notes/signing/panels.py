"""What rigs' pages show of signing: at the top of a rig, and beside each rig of a list."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.http import HttpRequest

from core.access.policy import Action, allowed
from notes.models import Party, SignOff
from notes.signing.parties import parties_for
from notes.signing.since import NONE, Since, since_revision
from notes.signing.states import PartyState, Standing, State, standing_of, standings
from rigs.models import Rig
from rigs.panels import Panel, Place, Signed, SoundWords, register_signed, register_words
from rigs.panels import register as register_panel


def register() -> None:
    """Called once, when the app is ready."""
    register_panel(Place.RIG_TOP, rig_top)
    register_panel(Place.RIG_ROWS, rig_rows)
    register_signed(last_signed)
    register_words(signed_words)


def rig_top(request: HttpRequest, rig: Rig) -> Panel:
    """How it should sound, whether that is still what was signed, and what differs since."""
    standing = standing_of(rig)
    oldest = _changed_since(standing)
    context = {
        "rig": rig,
        "standing": standing,
        "changed": oldest,
        "since": _since(rig, oldest),
        "may_sign": _may_sign(request, rig),
        "may_ask": not rig.retired and _may(request, Action.ASK_SIGNATURE),
    }
    return Panel("notes/signing/_rig_top.html", context)


def last_signed(rig: Rig) -> Signed | None:
    """What the player accepted last, whatever they withheld since. One query."""
    found = (
        SignOff.objects.filter(rig=rig, party=Party.PLAYER, decision=SignOff.Decision.SIGNED)
        .select_related("revision")
        .order_by("-at", "-pk")
        .first()
    )
    return None if found is None else Signed(found.revision.number, found.name, found.at)


def signed_words(rigs: Sequence[Rig]) -> dict[UUID, SoundWords]:
    """The words of those rigs whose player's last word is a signature. Three queries."""
    found = {}
    for pk, standing in standings(rigs).items():
        said = standing.player.sign_off
        if standing.signed_sound and said is not None:
            found[pk] = SoundWords(standing.signed_sound, said.name, said.at)
    return found


def rig_rows(request: HttpRequest, rigs: Sequence[Rig]) -> Panel:
    """Each rig gets its `standing`; the template shows it for the `rig` of the row."""
    found = standings(rigs)
    for rig in rigs:
        rig.standing = found[rig.pk]  # type: ignore[attr-defined]
    return Panel("notes/signing/_rig_row.html", {"standings": found})


def _changed_since(standing: Standing) -> PartyState | None:
    """Whose signature the differences are counted from: the player's, else the earliest."""
    changed = [each for each in standing.parties if each.state == State.CHANGED]
    if changed and changed[0].party == standing.player.party:
        return changed[0]
    return max(changed, key=lambda each: each.changes_since, default=None)


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
