"""The hooks by which apps further downstream add to rigs what only they know.

rigs must not know notes, yet the page of a rig opens with the signed words and ends with what is
open, and a change may have listening notes as its reason. The apps that know plug in when they are
ready (`AppConfig.ready()`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple
from uuid import UUID

from core.hooks import Hook

if TYPE_CHECKING:
    from django.http import HttpRequest

    from core.models import Production, Show
    from core.places import Panel
    from rigs.changes.edits import Change
    from rigs.checks.stage import ChangesOfSet, PatchOfStage
    from rigs.models import Input, Revision, Rig
    from rigs.radio import OnAir


class SignedState(NamedTuple):
    """The newest state of a rig that its player accepted."""

    number: int  # of the revision
    by: str
    at: datetime


class SoundWords(NamedTuple):
    """How a rig should sound; `by` and `at` where a player has signed these words."""

    text: str
    by: str = ""
    at: datetime | None = None

    @property
    def signed(self) -> bool:
        return self.at is not None


class Measurement(NamedTuple):
    """What was measured on two inputs: ids, and the seconds by which `second` is later.

    `polarity` is that of the sources: −1 where they push opposite ways ahead of the desk's own
    switches. `celsius` is the air it was recorded in, None where nobody stated it. `moved_in` is
    the number of the change that made it out of date, by another device or another place.
    `through_desk`: it was recorded behind the desk's delays, so it holds what is set there.
    """

    first: str
    second: str
    delay_s: float
    polarity: int
    celsius: float | None = None
    moved_in: int | None = None
    through_desk: bool = False


class UnitTonight(NamedTuple):
    """A unit that differs at a show: in a line, what came in its place, what of radio is set.

    `rig` is an id. `came` is make and model, empty where the unit is ours; `kind` what that is, in
    words; `radio` what it is on.
    """

    line: str
    name: str
    rig: UUID
    radio: OnAir | None = None
    came: str = ""
    kind: str = ""
    from_whom: str = ""


class MonitorOnStage(NamedTuple):
    """A wedge or fill: what it is, whose, and where it stands in words; `player` is an id."""

    id: UUID
    name: str
    kind: str
    player: UUID | None
    position: str


RIG_TOP: Hook[[HttpRequest, Rig], Panel] = Hook("how a rig should sound, and whether it still does")
RIG_WHY: Hook[[HttpRequest, Rig], Panel] = Hook("the changes of a rig that have a reason")
RIG_OPEN: Hook[[HttpRequest, Rig], Panel] = Hook("open notes and trials of a rig")
RIG_ROWS: Hook[[HttpRequest, Sequence[Rig]], Panel] = Hook("badges of each rig of a list")
RIG_LAYERS: Hook[[HttpRequest, Rig], Panel] = Hook("where a rig differs at the next show")
INPUT: Hook[[HttpRequest, Input], Panel] = Hook("notes, trials and clips of an input")
REVISION: Hook[[HttpRequest, Revision], Panel] = Hook("sounds before and after a change")
# In one query; None if nothing is signed yet.
LAST_SIGNED: Hook[[Rig], SignedState] = Hook("what a rig's player signed last")
RIG_SOUNDS: Hook[[Production, Sequence[UUID]], Iterable[str]] = Hook(
    "addresses of the sounds that go with rigs to a guest"
)
# By the rig's id, in a fixed number of queries; rigs without any are left out.
SIGNED_WORDS: Hook[[Sequence[Rig]], Mapping[UUID, SoundWords]] = Hook("the words that are signed")
# By the rig's id, as many queries for one rig as for many; the newest of each pair of inputs.
MEASURED: Hook[[Sequence[Rig]], Mapping[UUID, Iterable[Measurement]]] = Hook(
    "what was measured on the sound of two inputs"
)
# By the unit’s id, in a fixed number of queries; units that are as documented are left out.
UNITS_TONIGHT: Hook[[Show], Mapping[UUID, UnitTonight]] = Hook(
    "what of units differs at a show, in words"
)
# Both inside the gateway's transaction; the first raises ReasonRequired for notes it does not know.
CHECK_NOTES: Hook[[Rig, Sequence[UUID]], None] = Hook("whether notes can be the reason of a change")
LINK_NOTES: Hook[[Revision, Sequence[UUID]], None] = Hook("tie notes to the change they led to")
# Inside the transaction that writes it: what raises here undoes the change.
RECORDED: Hook[[Revision, Sequence[Change]], None] = Hook("a change was recorded")
RETITLED: Hook[[Iterable[UUID]], None] = Hook("the search reads that rigs have other names")
# What stands on stage and sounds towards players, in-ear mixes left out; one query.
MONITORS: Hook[[Production], Iterable[MonitorOnStage]] = Hook("monitors that stand on stage")
# Of a show, or of all shows without one; in a fixed number of queries.
PATCH: Hook[[Production, Show | None], PatchOfStage] = Hook("where the lines of inputs land")
# In a fixed number of queries; `leg.production` of the show is at hand.
SET_CHANGES: Hook[[Show, Sequence[Rig]], ChangesOfSet] = Hook(
    "what rigs have to do between the songs of a show"
)
