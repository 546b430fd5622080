"""Sign one exact state of a rig, or withhold with words."""

from __future__ import annotations

from django import forms
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core import clock
from core.models import Player, User
from core.proof import checkpoints
from notes.models import Clip, Party, SignOff
from notes.signing.parties import parties_of
from notes.signing.seal import seal_of
from rigs.models import Revision, Rig
from rigs.revisions.writer import store_whole

Decision = SignOff.Decision
# Cleans words for callers without a form as well: the length, and no null characters.
WORDS = forms.CharField(required=False, max_length=SignOff._meta.get_field("words").max_length)


class MovedOn(Exception):
    """The rig is no longer what the page showed: nothing was signed, nothing was asked."""

    def __init__(self, rig: Rig, shown: int) -> None:
        self.rig, self.shown = rig, shown
        super().__init__(_("Someone changed it since you opened this page."))


@transaction.atomic
def sign(
    *,
    rig: Rig,
    party: str,
    decision: str,
    revision: int,
    words: str = "",
    user: User | None = None,
    player: Player | None = None,
    clip: Clip | None = None,
) -> SignOff:
    """Put on record that `party` accepts revision number `revision` of `rig`, or does not yet.

    `user` is the member who signs as that party; without one, `player` is the musician who holds
    a link. `clip` is what was heard and is signed along with the settings. Saying the same again
    about the same state returns what is on record.
    Raises MovedOn unless `revision` is the newest, ValidationError for a withheld signature
    without words, PermissionDenied for somebody who is not that party.
    """
    words = checked_words(decision, words)
    # Held until the signature is written, so that nobody changes what is just being signed.
    locked = lock_at(rig, revision)
    if locked.retired:
        raise ValidationError(_("This rig is retired. Restore it before it is signed."))
    who = _signer(locked, Party(party), user, player)
    if clip is not None and clip.rig_id != locked.pk:
        raise ValidationError({"clip": _("This clip is of another rig.")})
    made = SignOff(
        rig=locked, party=party, decision=decision, words=words, user=user, player=who, clip=clip
    )
    made.revision = Revision.objects.get(rig=locked, number=revision)
    # Beside the foreign key, so that a history that was rewritten shows.
    made.revision_digest = made.revision.digest
    return _already(made) or _put_on_record(made)


def lock_at(rig: Rig, number: int) -> Rig:
    """The rig, held until the transaction ends, if `number` is still its newest change."""
    locked = Rig.objects.select_for_update().get(pk=rig.pk)
    if locked.head_number != number:
        raise MovedOn(locked, number)
    return locked  # type: ignore[no-any-return]


def checked_words(decision: str, words: str) -> str:
    """The words as they go on record. Raises ValidationError for a withheld signature without."""
    if decision not in Decision.values:
        raise ValidationError({"decision": _("Say whether this is right, or not yet.")})
    try:
        words = str(WORDS.clean(words))
    except ValidationError as error:
        raise ValidationError({"words": error.messages}) from None
    if decision == Decision.WITHHELD and not words:
        raise ValidationError({"words": _("Say what is missing, so that somebody can do it.")})
    return words


def _signer(rig: Rig, party: Party, user: User | None, player: Player | None) -> Player | None:
    """The musician on whose behalf it is signed; None for the crew's parties."""
    if user is not None and party not in parties_of(user, rig):
        raise PermissionDenied(
            _("{user} does not sign this rig as {label}.").format(user=user, label=party.label)
        )
    # Only a link for one rig leads here without an account.
    if user is None and (party is not Party.PLAYER or player is None):
        raise PermissionDenied(_("Only a musician signs without an account."))
    if party is not Party.PLAYER:
        return None
    if player is not None and player.pk != rig.player_id:
        raise PermissionDenied(_("{player} signs their own rigs only.").format(player=player))
    return rig.player


def _already(made: SignOff) -> SignOff | None:
    """What the party last said, if it is the same: a button pressed twice signs once."""
    # Only the last word counts: signing again after “not yet” is a new signature.
    last = SignOff.objects.filter(rig=made.rig, party=made.party).order_by("-at", "-pk").first()
    same = ("revision_id", "decision", "words", "user_id", "player_id", "clip_id")
    if last and all(getattr(last, name) == getattr(made, name) for name in same):
        return last
    return None


def _put_on_record(made: SignOff) -> SignOff:
    # The name of that day, which is sealed: people and players are renamed later.
    made.name = made.user.name if made.user else str(made.player)
    made.at = clock.now()
    made.seal = seal_of(made)
    made.save(force_insert=True)
    # What was signed is kept whole, so that it can be shown without replaying anything.
    store_whole(made.rig, made.revision)
    checkpoints.soon(made.rig.production_id, checkpoints.Why.SIGN_OFF)
    return made
