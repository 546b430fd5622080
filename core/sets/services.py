"""Change the set of a show, begin it with another one, set it for a whole leg."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import as_stored
from core.models import Production, SetChange, SetEntry, Show, ShowSet, Song, User
from core.search.index import on_set
from core.services.ordering import next_position
from core.sets.merge import Merged, WithId, merge
from core.sets.order import SetOfShow, lines_of_songs, numbered, set_of_show, sets_of_shows
from core.sets.refused import LinesConflict, LinesRefused
from core.sets.state import FIELDS, SONG, Line, State, problems
from core.sets.words import Says, in_words, words_retold

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

CHANGED = gettext_lazy(
    "Someone else changed this set meanwhile. Look at what changes now, then take it."
)
L = TypeVar("L", bound=WithId)
RETIRED = gettext_lazy("This show is retired. Restore it before changing its set.")


class SetConflict(LinesConflict[State]):
    SAID = gettext_lazy("Someone else changed this set, too.")


@SetChange.told_by
def told_of(change: SetChange) -> list[str]:
    """What a change did, in the language of the reader."""
    return [words_retold(each) for each in change.words]


def state_of(found: SetOfShow) -> State:
    lines = (
        Line(
            str(line.id),
            line.kind,
            str(line.song.pk) if line.song else None,
            line.title,
            line.cut,
            line.reprise,
            line.joined,
            line.note,
            line.length_s,
        )
        for line in found.lines
    )
    return State(tuple(lines), found.target_s)


def state_at(show: Show, version: int) -> State:
    """The set as it was at `version`, 0 for the songs of the production. Raises ValidationError."""
    if version == 0:
        return _without_own(show)
    found = SetChange.objects.filter(set__show=show, number=version).first()
    if found is None:
        raise ValidationError(_("This page is of a set that is not there. Open it anew."))
    return State.from_plain(found.state)


def _without_own(show: Show) -> State:
    songs = Song.objects.live().filter(production=show.leg.production_id)
    ordered = songs.order_by("position", "title", "pk")
    return state_of(SetOfShow(numbered(lines_of_songs(ordered, show.pk))))


def titles_of(production: UUID) -> dict[str, str]:
    rows = Song.objects.filter(production=production).values_list("pk", "title")
    return {str(pk): title for pk, title in rows}


@transaction.atomic
def change(
    show: Show,
    mine: State,
    *,
    base: int,
    by: User,
    decided: Mapping[str, str] | None = None,
    seen: int | None = None,
    because: Sequence[str] = (),
) -> list[str]:
    """Make the set of `show` what `mine` made of version `base`; what others did meanwhile stays.

    `decided` are answers to a conflict that was shown at version `seen`. `because` are sentences
    that the history begins with. Returns what changed in sentences. Raises SetConflict,
    LinesRefused or ValidationError.
    """
    held = lock(show)
    found = set_of_show(held)
    now = state_of(found)
    was = now if base == found.version else state_at(held, base)
    own, _ = ShowSet.objects.get_or_create(show=held)
    since = list(SetChange.objects.filter(set=own, number__gt=base).defer("state"))
    same_person = all(each.by_id == by.pk for each in since)
    answers = decided if seen in (None, own.version) else None
    merged = merge(was, mine, now, decided=answers, same_person=same_person)
    if not merged.is_decided:
        raise SetConflict(merged, since[0], own.version)
    titles = titles_of(held.leg.production_id)
    if wrong := problems(merged.state, titles):
        raise LinesRefused(wrong)
    with as_stored():
        words = _told(now, merged, titles)
    if words or (because and own.version == 0):
        _write(own, merged.state, [*because, *words], by)
    return _told(now, merged, titles)


def _told(now: State, merged: Merged[State], titles: Mapping[str, str]) -> list[str]:
    words = in_words(now, merged.state, titles)
    kept = merged.state.by_id
    for each in merged.kept:
        title = _name(kept[each], titles)
        words.append(Says.STAYS.said(title=title))
    return words


def wanted(
    show: Show, version: int, lines: Sequence[Mapping[str, Any]], target_s: int | None
) -> State:
    """A set from plain values: the fields of Line, ids and songs as UUID or None.

    A line with an id is one of the set as it was at `version`; kind and song are then those of that
    line. Raises ValidationError, and LinesRefused keyed by the place of the line.
    """
    was = state_at(show, version) if version else _without_own(show)
    known, titles = was.by_id, titles_of(show.leg.production_id)
    made, wrong = [], {}
    for at, values in enumerate(lines, start=1):
        given = {**values, "song": str(values["song"]) if values["song"] else None}
        there = known.get(str(given.pop("id") or ""))
        if values["id"] and there is None:
            wrong[str(at)] = _("Line {at} is not in the set of that version.").format(at=at)
        elif there is not None:
            made.append(replace(there, **{name: given[name] for name in FIELDS}))
        elif (given["kind"] == SONG) != (given["song"] in titles):
            wrong[str(at)] = _(
                "Line {at}: a song needs one of this production, and nothing else does."
            ).format(at=at)
        else:
            made.append(Line(str(uuid4()), **given))
    ids = [line.id for line in made]
    if len(set(ids)) < len(ids):
        wrong[""] = _("A line stands there twice. Once more is a new line, a reprise.")
    if wrong:
        raise LinesRefused(wrong)
    return State(tuple(made), target_s)


@transaction.atomic
def replace_set(
    show: Show, state: State, *, by: User, because: str, version: int | None = None
) -> list[str]:
    """Make the set of `show` the lines of `state`, whatever is there; its history keeps that.

    With a `version`, only where the set is still at it. Raises ValidationError otherwise.
    """
    held = lock(show)
    found = set_of_show(held)
    if version is not None and version != found.version:
        raise ValidationError(CHANGED)
    now = state_of(found)
    wanted = matched(state, now)
    own, _ = ShowSet.objects.get_or_create(show=held)
    titles = titles_of(held.leg.production_id)
    with as_stored():
        words = in_words(now, wanted, titles)
    if words or own.version == 0:
        _write(own, wanted, [because, *words], by)
    return in_words(now, wanted, titles)


def take_again(show: Show, was: SetChange, *, by: User, version: int) -> list[str]:
    """Make the set what it was after the change `was`. Raises ValidationError as `replace_set`."""
    state = State.from_plain(was.state)
    with as_stored():
        because = Says.AGAIN.said(at=f"{was.at:%d %b %Y, %H:%M}", name=was.by_name)
    return replace_set(show, state, by=by, because=because, version=version)


def again_words(was: SetChange, found: SetOfShow, titles: Mapping[str, str]) -> list[str]:
    """What taking it again would change, in sentences."""
    now = state_of(found)
    return in_words(now, matched(State.from_plain(was.state), now), titles)


def matched(state: State, now: State) -> State:
    """`state` with the ids that lines of the same song have in `now`, and new ones for the rest.

    So the history says what moved, and not that all was taken out and put in again.
    """
    return replace(state, lines=with_ids_of(now.lines, state.lines, _alike))


def with_ids_of(
    there: Sequence[L], lines: Sequence[L], alike: Callable[[L], object]
) -> tuple[L, ...]:
    """`lines` with the ids of those of `there` that are `alike`, each id once; others get new
    ones."""
    free: dict[object, list[str]] = {}
    for line in there:
        free.setdefault(alike(line), []).append(line.id)
    found: list[L] = []
    for line in lines:
        same = free.get(alike(line))
        made: L = replace(line, id=same.pop(0) if same else str(uuid4()))  # type: ignore[type-var]
        found.append(made)
    return tuple(found)


def _alike(line: Line) -> tuple[object, ...]:
    return (line.kind, line.song, "" if line.song else line.title, line.reprise)


def last_show_before(show: Show, having: str = "own_set") -> Show | None:
    """The show before it that has a set of its own, in any leg of the production.

    `having` names what it must have instead: a record with a show each, as a show calls it.
    """
    before = Q(held_on__lt=show.held_on) | Q(held_on=show.held_on, pk__lt=show.pk)
    shows = Show.objects.filter(before, leg__production=show.leg.production_id, retired_at=None)
    shows = shows.filter(**{f"{having}__isnull": False})
    return shows.exclude(pk=show.pk).select_related("leg").order_by("-held_on", "-pk").first()


def begin(show: Show, by: User) -> Show | None:
    """Give a show that was just made the set of the one before; None if there is none."""
    source = last_show_before(show)
    if source is not None:
        replace_set(show, state_of(set_of_show(source)), by=by, because=begun_with(source))
    return source


def begun_with(source: Show) -> str:
    """Why, as the history keeps it."""
    with as_stored():
        return Says.BEGUN.said(show=source)


class LegRow:
    """A show of a leg beside a set that may be written to it."""

    def __init__(self, show: Show, found: SetOfShow, wanted: State, titles: Mapping[str, str]):
        self.show, self.is_own, self.version = show, found.is_own, found.version
        now = state_of(found)
        self.words = in_words(now, matched(wanted, now), titles)

    @property
    def differs(self) -> bool:
        return bool(self.words) or not self.is_own


def leg_rows(show: Show) -> list[LegRow]:
    """The other shows of the leg, each with what the set of `show` would change there.

    Five queries, however many shows.
    """
    others = show.leg.shows.filter(retired_at=None).exclude(pk=show.pk).select_related("leg")
    shows = [show, *others.order_by("held_on", "pk")]
    found, titles = sets_of_shows(shows), titles_of(show.leg.production_id)
    wanted = state_of(found[show.pk])
    return [LegRow(each, found[each.pk], wanted, titles) for each in shows[1:]]


@transaction.atomic
def set_for_leg(
    show: Show, chosen: Mapping[UUID, int], *, by: User
) -> tuple[list[Show], list[Show]]:
    """Write the set of `show` to the shows of its leg in `chosen`, each with the version it had.

    Returns those that were written, and those that somebody changed meanwhile: these are left.
    """
    state = state_of(set_of_show(show))
    with as_stored():
        because = Says.FOR_LEG.said(show=show)
    written_to, left = [], []
    for each in leg_rows(show):
        if each.show.pk not in chosen or not each.differs:
            continue
        if each.version != chosen[each.show.pk]:
            left.append(each.show)
            continue
        replace_set(each.show, state, by=by, because=because)
        written_to.append(each.show)
    return written_to, left


def lock(show: Show, refused: StrOrPromise = RETIRED) -> Show:
    """The show, locked until the transaction ends. Raises ValidationError if it is retired."""
    shows = Show.objects.select_for_update(of=("self",)).select_related("leg")
    held = shows.get(pk=show.pk)
    if held.is_retired:
        raise ValidationError(refused)
    return held


def make_songs(production: Production, titles: Sequence[str]) -> list[Song]:
    """New songs behind those that there are."""
    place = next_position(Song.objects.filter(production=production))
    return [
        Song.objects.create(production=production, title=title, position=place + at)
        for at, title in enumerate(titles)
    ]


def _write(own: ShowSet, state: State, words: Sequence[str], by: User) -> None:
    played_before = set(own.entries.filter(cut=False).values_list("song", flat=True))
    wanted = {UUID(line.id): (at, line) for at, line in enumerate(state.lines, start=1)}
    own.entries.exclude(pk__in=wanted).delete()
    there = set(own.entries.values_list("pk", flat=True))
    rows = [_entry(own, pk, at, line) for pk, (at, line) in wanted.items()]
    columns = ["position", "title", "cut", "reprise", "joined", "note", "length_s"]
    SetEntry.objects.bulk_update([row for row in rows if row.pk in there], columns)
    SetEntry.objects.bulk_create([row for row in rows if row.pk not in there])
    own.target_s, own.version = state.target_s, own.version + 1
    own.save(update_fields=["target_s", "version"])
    made = SetChange(set=own, number=own.version, words=list(words), state=state.plain())
    made.put_down(by)
    on_set(own, played_before ^ {row.song_id for row in rows if not row.cut})


def _entry(own: ShowSet, pk: UUID, at: int, line: Line) -> SetEntry:
    return SetEntry(
        pk=pk,
        set=own,
        kind=line.kind,
        song_id=UUID(line.song) if line.song else None,
        title=line.title,
        position=at,
        cut=line.cut,
        reprise=line.reprise,
        joined=line.joined,
        note=line.note,
        length_s=line.length_s,
    )


def _name(line: Line, titles: Mapping[str, str]) -> str:
    return titles.get(line.song or "", line.title)
