"""The one table that says who may do what in a production.

Views, API and templates ask `allowed`; none of them repeats a rule.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from enum import StrEnum

from core.models.roles import Role


class Action(StrEnum):
    READ = "read"  # every page of the production
    EDIT_RIG = "edit_rig"  # units, controls, signal path, inputs, photos, restore
    EDIT_DEVICES = "edit_devices"  # the microphone and DI catalogue
    EDIT_TOUR = "edit_tour"  # players, legs, shows, songs
    EDIT_SET = "edit_set"  # what is played at one show, in which order
    CHOOSE_DEP = "choose_dep"  # who plays for a player at a show
    ANSWER_BACKLINE = "answer_backline"  # what was offered and came of the backline asked for
    EDIT_CHANGEOVER = "edit_changeover"  # the plan of a changeover: what, where, who, minutes
    MARK_CHANGEOVER = "mark_changeover"  # tick its steps off, start and stop its clock
    WRITE_NOTE = "write_note"  # listening sessions and notes, follow-ups
    REMOVE_PHOTO = "remove_photo"  # take a photo off a note: one's own
    REMOVE_ANY_PHOTO = "remove_any_photo"  # take others' photos off notes
    RUN_TRIAL = "run_trial"  # open a trial, give verdicts, choose
    LISTEN_BLIND = "listen_blind"  # hear two clips without knowing which is which, and answer
    ASK_SIGNATURE = "ask_signature"  # make a player's one-time link
    SIGN = "sign"  # sign off or withhold, as one's own party
    WRITE_HANDOVER = "write_handover"  # the words, cautions and contacts of a handover
    REMIND = "remind"  # see who is late with a handover, and remind them
    ACKNOWLEDGE = "acknowledge"  # say that one has read it; ask
    ANSWER = "answer"  # answer a crew member's question
    LINE_CHECK = "line_check"  # what was found at a show, input by input; substitutes for that day
    UPLOAD = "upload"  # send a large file in pieces, for a form that takes files
    EDIT_MIX = "edit_mix"  # monitor mixes: what is in them, done or not, ask a player to sign
    SIGN_MIX = "sign_mix"  # sign or withhold a monitor mix: the player whose it is, nobody else
    WISH = "wish"  # say what is wished in a monitor mix tonight
    SHARE = "share"  # give somebody without an account a link to one thing to read
    SEE_LINKS = "see_links"  # see and close the links that others gave out; one's own always
    INVITE = "invite"  # bring people in, change roles, rename the production


_E, _T, _P, _C, _M = Role.ENGINEER, Role.TECH, Role.PLAYER, Role.CREW, Role.MANAGER
_MON = Role.MONITORS

POLICY: dict[Action, frozenset[Role]] = {
    Action.READ: frozenset({_E, _T, _P, _C, _M, _MON}),
    Action.EDIT_RIG: frozenset({_E, _T}),
    Action.EDIT_DEVICES: frozenset({_E, _T}),
    Action.EDIT_TOUR: frozenset({_E, _T, _M}),
    Action.EDIT_SET: frozenset({_E, _T, _C, _M, _MON}),
    Action.CHOOSE_DEP: frozenset({_E, _T, _C, _M, _MON}),
    Action.ANSWER_BACKLINE: frozenset({_E, _T, _C, _M, _MON}),
    Action.EDIT_CHANGEOVER: frozenset({_E, _T, _C, _M, _MON}),
    # Players carry, too, and whoever is done says so.
    Action.MARK_CHANGEOVER: frozenset({_E, _T, _P, _C, _M, _MON}),
    Action.WRITE_NOTE: frozenset({_E, _T, _P, _MON}),
    Action.REMOVE_PHOTO: frozenset({_E, _T, _P, _M, _MON}),
    Action.REMOVE_ANY_PHOTO: frozenset({_M}),
    Action.RUN_TRIAL: frozenset({_E, _T}),
    Action.LISTEN_BLIND: frozenset({_E, _T, _P, _C, _MON}),
    Action.ASK_SIGNATURE: frozenset({_E, _T}),
    Action.SIGN: frozenset({_E, _T, _P}),
    Action.WRITE_HANDOVER: frozenset({_E, _T}),
    Action.REMIND: frozenset({_E, _T, _M}),
    Action.ACKNOWLEDGE: frozenset({_E, _T, _P, _C, _M, _MON}),
    Action.ANSWER: frozenset({_E, _T, _P}),
    Action.LINE_CHECK: frozenset({_E, _T, _C, _MON}),
    Action.EDIT_MIX: frozenset({_E, _T, _MON}),
    Action.SIGN_MIX: frozenset({_P}),
    Action.WISH: frozenset({_E, _T, _P, _C, _MON}),
    Action.SEE_LINKS: frozenset({_M}),
    Action.INVITE: frozenset({_M}),
}
# Whoever may read a thing may share it.
POLICY[Action.SHARE] = POLICY[Action.READ]
# Whoever may send a form that can take files. What the form does is asked for by its own action.
POLICY[Action.UPLOAD] = (
    POLICY[Action.EDIT_RIG] | POLICY[Action.WRITE_NOTE] | POLICY[Action.LINE_CHECK]
)


def allowed(roles: Iterable[str], action: Action) -> bool:
    """Whether somebody holding `roles` in a production may do `action` there."""
    return not POLICY[action].isdisjoint(roles)


def guest_may(action: Action, address: str, opens: Container[str]) -> bool:
    """Whether a guest whose link opens the addresses `opens` may do `action` at `address`.

    A guest has no role. Reading is all there is, and every address that is read is named.
    """
    return action is Action.READ and address in opens
