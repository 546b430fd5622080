"""Where a rig stands with each party. Derived here and nowhere else, never stored.

signed: the party accepted this sound. changed: it accepted another. withheld: the last it said was
"not yet". asked: a player's link is open. not_asked: none of these. The
rows of the fields say what belongs to the sound: a photo, a pin, an order or a name does not, and
what was changed and changed back is no change of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from core import clock
from core.composed import Composed, Several, column
from core.models import OneTimeLink
from notes.models import Party, SignOff, SignRequest
from notes.signing.requests import open_requests
from rigs.changes.diff import diff
from rigs.fields import is_of_sound
from rigs.models import ChangeRow, Rig
from rigs.revisions.many import states_of

SignedState = tuple[UUID, int]  # a rig and the number of the change that was signed


class PartyStatus(StrEnum):
    """Keys of core.badges.LOOKS."""

    SIGNED = "signed"
    CHANGED = "changed"
    WITHHELD = "withheld"
    ASKED = "asked"
    NOT_ASKED = "not_asked"


@dataclass(frozen=True, slots=True)
class PartyState:
    """Where one party stands: its last word, an open link, and how many changes came after it,
    of the sound or not."""

    party: Party
    state: PartyStatus
    sign_off: SignOff | None = None
    request: SignRequest | None = None
    changes_since: int = 0

    @property
    def label(self) -> str:
        return str(self.party.label)


@dataclass(frozen=True, slots=True)
class SignOffStatus:
    """Where one rig stands with all parties, and the words its sound goes by."""

    rig: Rig
    parties: tuple[PartyState, ...]
    signed_sound: str | None  # as the player signed it; None if their last word is no signature

    @property
    def player(self) -> PartyState:
        return self.parties[0]

    @property
    def with_something_to_say(self) -> tuple[PartyState, ...]:
        """The parties that were asked or said something; lists leave out the others."""
        return tuple(each for each in self.parties if each.state != PartyStatus.NOT_ASKED)

    @property
    def sound_moved(self) -> bool:
        """Whether the words on the rig are no longer those that were signed."""
        return self.signed_sound is not None and self.signed_sound != self.rig.sound


def sign_off_status_of(rig: Rig) -> SignOffStatus:
    return sign_off_statuses([rig])[rig.pk]


def sign_off_statuses(rigs: Iterable[Rig]) -> dict[UUID, SignOffStatus]:
    """Where each of `rigs` stands: three queries however many there are, and two more where
    some were changed after they were signed."""
    all_rigs = list(rigs)
    ids = [rig.pk for rig in all_rigs]
    last, requests = _last_words(ids), _requests(ids)
    sounds, heard = sounds_replaced(ids), _sounds_different(all_rigs, last)
    return {
        rig.pk: _status_of(rig, last[rig.pk], requests.get(rig.pk), sounds[rig.pk], heard)
        for rig in all_rigs
    }


def signed_words(rigs: Iterable[Rig]) -> dict[UUID, tuple[SignOff, str]]:
    """The words of those rigs whose player's last word is a signature. Two queries."""
    all_rigs = list(rigs)
    ids = [rig.pk for rig in all_rigs]
    last, sounds = _last_words(ids), sounds_replaced(ids)
    result = {}
    for rig in all_rigs:
        sign_off = last[rig.pk].get(Party.PLAYER)
        words = _signed_sound(rig, sign_off, sounds[rig.pk])
        if sign_off is not None and words:
            result[rig.pk] = (sign_off, words)
    return result


def _sounds_different(
    rigs: list[Rig], last: dict[UUID, dict[str, SignOff]]
) -> set[tuple[UUID, int]]:
    """The states that were signed and sound different from now, as rig and number.

    Two queries; none where no rig was changed after a signature.
    """
    signed = {
        (rig.pk, sign_off.revision.number): rig.head_number
        for rig in rigs
        for sign_off in last[rig.pk].values()
        if sign_off.decision == SignOff.Decision.SIGNED
        and sign_off.revision.number < rig.head_number
    }
    if not signed:
        return set()
    by_id = {rig.pk: rig for rig in rigs}
    now = {(rig, head) for (rig, _), head in signed.items()}
    states = states_of((by_id[rig], number) for rig, number in {*signed, *now})
    return {
        (rig, number)
        for (rig, number), head in signed.items()
        if any(
            is_of_sound(change.kind, change.field)
            for change in diff(states[rig, number], states[rig, head])
        )
    }


def _last_words(rigs: list[UUID]) -> dict[UUID, dict[str, SignOff]]:
    result: dict[UUID, dict[str, SignOff]] = defaultdict(dict)
    for sign_off in _newest_words(rigs):
        result[sign_off.rig_id][sign_off.party] = sign_off
    return result


# The last word of each party of each rig in one query, however many rigs.
_newest_words = Composed(
    lambda rigs: (
        SignOff.objects.filter(rig__pk__among=rigs)
        .annotate(
            nth=Window(
                RowNumber(),
                partition_by=[F("rig_id"), F("party")],
                order_by=[F("at").desc(), F("pk").desc()],
            )
        )
        .filter(nth=1)
        .select_related("revision", "clip")
        .order_by()
    ),
    Several(column(Rig)),
)


def _requests(rigs: list[UUID]) -> dict[UUID, SignRequest]:
    return {request.rig_id: request for request in _open_of(clock.now(), rigs)}


_open_of = Composed(
    lambda at, rigs: open_requests(at).filter(rig__pk__among=rigs),
    column(OneTimeLink, "expires_at"),
    Several(column(Rig)),
)


def sounds_replaced(rigs: list[UUID]) -> dict[UUID, list[tuple[int, str]]]:
    """For each rig the changes that replaced its words, and what the words were before."""
    result: dict[UUID, list[tuple[int, str]]] = defaultdict(list)
    for row in _rows_of_sounds(rigs):
        result[row.part].append((row.revision.number, row.old or ""))
    return result


_rows_of_sounds = Composed(
    lambda rigs: (
        ChangeRow.objects.filter(
            revision__rig__pk__among=rigs, part__among=rigs, kind=Rig.KIND, field="sound"
        )
        .order_by("revision__number")
        .select_related("revision")
    ),
    Several(column(Rig)),
)


def _status_of(
    rig: Rig,
    last: dict[str, SignOff],
    request: SignRequest | None,
    replaced: list[tuple[int, str]],
    heard: set[SignedState],
) -> SignOffStatus:
    """`heard`: the states that were signed and sound different from now."""
    parties = tuple(
        _party(rig, party, last.get(party), request if party is Party.PLAYER else None, heard)
        for party in Party
    )
    return SignOffStatus(rig, parties, _signed_sound(rig, last.get(Party.PLAYER), replaced))


def _party(
    rig: Rig,
    party: Party,
    last: SignOff | None,
    request: SignRequest | None,
    heard: set[SignedState],
) -> PartyState:
    if last is None:
        state = PartyStatus.ASKED if request else PartyStatus.NOT_ASKED
        return PartyState(party, state, None, request)
    since = rig.head_number - last.revision.number
    # Whatever was changed since: only the party itself can say that it is right by now.
    if last.decision == SignOff.Decision.WITHHELD:
        state = PartyStatus.WITHHELD
    else:
        different = (rig.pk, last.revision.number) in heard
        state = PartyStatus.CHANGED if different else PartyStatus.SIGNED
    return PartyState(party, state, last, request, since)


def _signed_sound(rig: Rig, last: SignOff | None, replaced: list[tuple[int, str]]) -> str | None:
    if last is None or last.decision != SignOff.Decision.SIGNED:
        return None
    return sound_as_of(rig, last.revision.number, replaced)


def sound_as_of(rig: Rig, number: int, replaced: list[tuple[int, str]]) -> str:
    """The words of the rig as of change `number`, by what `sounds_replaced` says of it."""
    # The first replacement after `number` knows what the words were until then.
    for later, before in replaced:
        if later > number:
            return before
    return rig.sound
