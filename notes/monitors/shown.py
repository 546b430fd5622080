"""Mixes as pages, paper and programs show them: names in place of ids."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from uuid import UUID

from core.models import Production, Show
from notes.models import MonitorMix
from notes.monitors.refs import Known
from notes.monitors.services import MixNow, mixes_of
from notes.monitors.signing import MixStatus, statuses
from notes.monitors.state import LEVELS, MixState, Want
from notes.monitors.wishes import WishNow, wishes_of
from notes.monitors.words import in_words
from rigs.shows.players import dep_names


@dataclass(frozen=True, slots=True)
class ShownWant:
    want: Want
    level: str  # in words
    about: str  # names of what is meant
    like: str

    @property
    def words(self) -> str:
        return self.want.words


@dataclass(frozen=True, slots=True)
class ShownMix:
    mix: MonitorMix
    state: MixState
    wants: list[ShownWant]
    status: MixStatus
    since: list[str] = field(default_factory=list)  # what differs from what was signed
    wishes: list[WishNow] = field(default_factory=list)
    dep: str = ""  # “X for Y” where somebody plays for the player at the show

    @property
    def whom(self) -> str:
        return self.dep or self.mix.whom

    @property
    def open_wishes(self) -> int:
        return sum(each.is_open for each in self.wishes)


def shown_wants(state: MixState, known: Known) -> list[ShownWant]:
    return [
        ShownWant(
            want,
            str(LEVELS[want.level]),
            known.typed(want.inputs),
            known.name(want.like) if want.like else "",
        )
        for want in state.wants
    ]


def shown(mixes: Sequence[MixNow], known: Known, show: Show | None = None) -> list[ShownMix]:
    """Two queries, and three more at a show for its wishes and deps, however many mixes."""
    standing = statuses(mixes)
    deps = dep_names(show) if show else {}
    wishes: dict[UUID, list[WishNow]] = wishes_of(show) if show else {}
    result = []
    for each in mixes:
        status, state = standing[each.mix.pk], each.state
        since = (
            in_words(status.signed, state, known.name, known.players)
            if status.signed is not None and status.signed != state
            else []
        )
        wants = shown_wants(state, known)
        dep = deps.get(each.mix.player_id, "") if each.mix.player_id else ""
        own = wishes.get(each.mix.pk, [])
        result.append(ShownMix(each.mix, state, wants, status, since, own, dep))
    return result


def all_shown(production: Production, show: Show | None = None) -> list[ShownMix]:
    """Every mix in use. Seven queries, and three more at a show for its wishes and deps."""
    return shown(mixes_of(production.pk), Known(production.pk), show)
