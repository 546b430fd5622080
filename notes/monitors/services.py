"""Make and change monitor mixes, and find them as they are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.composed import Composed, Several, column
from core.languages.choice import as_stored
from core.models import Player, Production, User
from notes.models import MixVersion, MonitorMix
from notes.monitors.refs import Known
from notes.monitors.state import MergedMix, MixState, digest_of, merge, problems
from notes.monitors.words import Says, in_words
from rigs.places import MonitorOnStage

RETIRED = gettext_lazy("This mix is retired. Restore it before changing it.")


class MixConflict(Exception):
    """Somebody else changed the same thing since the page was made. Nothing is written.

    `merged` has both, `theirs` what they did, newest first, `version` is what is there now.
    """

    def __init__(self, merged: MergedMix, theirs: Sequence[MixVersion], version: int) -> None:
        super().__init__(_("Someone else changed this mix, too."))
        self.merged, self.theirs, self.version = merged, theirs, version


class MixRefused(ValidationError):
    """What is wrong, by the id of the want or the field of the mix (empty for the whole)."""

    def __init__(self, wrong: dict[str, str]) -> None:
        super().__init__(list(wrong.values()))
        self.wrong = wrong


@dataclass(frozen=True, slots=True)
class MixNow:
    """A mix with the newest of its versions."""

    mix: MonitorMix
    newest: MixVersion

    @property
    def state(self) -> MixState:
        return MixState.from_plain(self.newest.state)


def mixes_now(mixes: Iterable[MonitorMix]) -> list[MixNow]:
    """Each with what is in it, in their order. One query besides that of the mixes."""
    rows = list(mixes)
    if not rows:
        return []
    by_mix = {version.mix_id: version for version in _newest([mix.pk for mix in rows])}
    return [MixNow(mix, by_mix[mix.pk]) for mix in rows if mix.pk in by_mix]


def mixes_of(production: UUID) -> list[MixNow]:
    """All mixes in use of a production. Two queries."""
    return mixes_now(_mixes(production))


_newest = Composed(
    lambda mixes: MixVersion.objects.filter(mix__pk__among=mixes, number=F("mix__version")),
    Several(column(MonitorMix)),
)
_mixes = Composed(
    lambda production: (
        MonitorMix.objects.live().filter(production=production).select_related("player")
    ),
    column(Production),
)


def on_stage(production: Production) -> list[MonitorOnStage]:
    """For the plot of the stage (rigs.places.MONITORS): what stands there, so no in-ear mix."""
    mixes = MonitorMix.objects.live().filter(production=production)
    return [
        MonitorOnStage(mix.pk, mix.name, mix.get_kind_display(), mix.player_id, mix.position)
        for mix in mixes
        if not mix.is_in_ear
    ]


def names_of_players(production: UUID) -> dict[str, str]:
    rows = Player.objects.filter(production=production).values_list("pk", "name")
    return {str(pk): name for pk, name in rows}


def state_at(mix: MonitorMix, number: int) -> MixState:
    """Raises ValidationError where there is no such version."""
    found = MixVersion.objects.filter(mix=mix, number=number).first()
    if found is None:
        raise ValidationError(_("This page is not whole. Open it anew."))
    return MixState.from_plain(found.state)


@transaction.atomic
def create(production: Production, state: MixState, *, by: User) -> MonitorMix:
    """Raises MixRefused."""
    _check(production.pk, state)
    mix = MonitorMix(production=production, version=0)
    _columns(mix, state)
    mix.full_clean()
    mix.save(force_insert=True)  # its version follows; the search has it from then on
    _write(mix, state, [Says.BEGUN.in_english()], by)
    return mix


@transaction.atomic
def change(mix: MonitorMix, mine: MixState, *, base: int, by: User) -> list[str]:
    """Make the mix what `mine` made of version `base`; what others did meanwhile stays.

    Returns what changed in sentences. Raises MixConflict, MixRefused or ValidationError.
    """
    held = lock(mix)
    now, was = state_at(held, held.version), state_at(held, base)
    since = list(MixVersion.objects.filter(mix=held, number__gt=base).order_by("-number"))
    same_person = all(each.by_id == by.pk for each in since)
    merged = merge(was, mine, now, same_person=same_person)
    if not merged.is_agreed:
        raise MixConflict(merged, since, held.version)
    _check(held.production_id, merged.state)
    known = Known(held.production_id)
    players = names_of_players(held.production_id)
    words = in_words(now, merged.state, known.name, players)
    if words:
        _columns(held, merged.state)
        held.full_clean()
        kept = words
        # Read anew, for the names: only where somebody reads another language.
        if translation.get_language() != settings.LANGUAGE_CODE:
            with as_stored():
                kept = in_words(now, merged.state, Known(held.production_id).name, players)
        _write(held, merged.state, kept, by)
    return words


def lock(mix: MonitorMix) -> MonitorMix:
    """The mix, locked until the transaction ends. Raises ValidationError if it is retired."""
    held: MonitorMix = MonitorMix.objects.select_for_update().get(pk=mix.pk)
    if held.is_retired:
        raise ValidationError(RETIRED)
    return held


def _check(production: UUID, state: MixState) -> None:
    wrong = problems(state)
    if state.player and state.player not in names_of_players(production):
        wrong["player"] = _("There is no such player here.")
    if wrong:
        raise MixRefused(wrong)


def _columns(mix: MonitorMix, state: MixState) -> None:
    mix.name, mix.kind, mix.position = state.name, state.kind, state.position
    mix.player_id = UUID(state.player) if state.player else None


def _write(mix: MonitorMix, state: MixState, words: list[str], by: User) -> None:
    previous = MixVersion.objects.filter(mix=mix, number=mix.version).first()
    mix.version += 1
    made = MixVersion(
        mix=mix,
        number=mix.version,
        words=words,
        state=state.plain(),
        digest=digest_of(str(mix.pk), mix.version, state, previous.digest if previous else ""),
    )
    made.put_down(by)
    # After its version, so that the search finds what is in it.
    mix.save()
