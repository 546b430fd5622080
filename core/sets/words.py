"""What a change did to a set, in words: of the language that is read, and from the history, which
keeps them in English. Reads and writes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.durations import format_duration
from core.languages.sentences import Sentences, moment_retold, show_retold
from core.languages.words import retold
from core.sets.merge import moved
from core.sets.state import BREAK, ENCORE, HEADING, NOTE, SONG, Line, State

# Also what a line says of which nobody typed more: kept in English, shown by `title_of`.
KINDS = {
    HEADING: gettext_noop("Section"),
    ENCORE: gettext_noop("Encore"),
    BREAK: gettext_noop("Break"),
    NOTE: gettext_noop("Between songs"),
}
_NAMED = gettext_noop("“{title}”")
_PLAIN = {
    HEADING: gettext_noop("section"),
    ENCORE: gettext_noop("encore"),
    BREAK: gettext_noop("break"),
    NOTE: gettext_noop("between songs"),
}
_TITLED = {
    HEADING: gettext_noop("section “{title}”"),
    ENCORE: gettext_noop("encore “{title}”"),
    BREAK: gettext_noop("break “{title}”"),
    NOTE: gettext_noop("between songs “{title}”"),
}
_RETITLED = {
    HEADING: gettext_noop("Section “{was}” is now “{now}”."),
    ENCORE: gettext_noop("Encore “{was}” is now “{now}”."),
    BREAK: gettext_noop("Break “{was}” is now “{now}”."),
    NOTE: gettext_noop("Between songs “{was}” is now “{now}”."),
}
FIELD_LABELS = {
    "title": gettext_lazy("words"),
    "cut": gettext_lazy("cut"),
    "reprise": gettext_lazy("reprise"),
    "joined": gettext_lazy("straight on from the song before"),
    "note": gettext_lazy("note"),
    "length_s": gettext_lazy("length"),
    "target_s": gettext_lazy("length wanted"),
}
MANY = 4  # lines that moved: named one by one up to here


class Says(Sentences):
    """What the history of a set says."""

    PUT_IN = gettext_noop("{line} put in at {at}.")
    REPRISE_PUT_IN = gettext_noop("{line} put in at {at} as a reprise.")
    TAKEN_OUT = gettext_noop("{line} taken out.")
    SWAPPED = gettext_noop("{one} and {other} swapped.")
    NEW_ORDER = gettext_noop("A new order; {n} lines moved.")
    MOVED = gettext_noop("{line} moved to {place}.")
    CUT = gettext_noop("{line} cut.")
    NOT_CUT = gettext_noop("{line} played after all.")
    REPRISE = gettext_noop("{line} is a reprise.")
    NO_REPRISE = gettext_noop("{line} is no reprise.")
    JOINED = gettext_noop("{line} goes straight on.")
    NOT_JOINED = gettext_noop("{line} does not go straight on.")
    NOTE = gettext_noop("{line}: “{note}”.")
    NO_NOTE = gettext_noop("{line}: note taken out.")
    LASTS = gettext_noop("{line} lasts {length}.")
    LASTS_AS_USUAL = gettext_noop("{line} lasts as usual.")
    WANTED = gettext_noop("Length wanted: {length}.")
    NOTHING_WANTED = gettext_noop("No length is wanted any more.")
    STAYS = gettext_noop("“{title}” stays: it was changed meanwhile.")
    AGAIN = gettext_noop("As after the change of {at} by {name}.")
    BEGUN = gettext_noop("Begun with the set of {show}.")
    FOR_LEG = gettext_noop("Set for the leg, as at {show}.")


def title_of(line: Line) -> str:
    """What a line between songs says."""
    return _(line.title) if line.title == KINDS.get(line.kind) else line.title


def name_of(line: Line, titles: Mapping[str, str]) -> str:
    if line.kind == SONG:
        return _(_NAMED).format(title=titles.get(line.song or "") or _("a song"))
    if line.title == KINDS[line.kind]:
        return _(_PLAIN[line.kind])
    return _(_TITLED[line.kind]).format(title=line.title)


def in_words(before: State, after: State, titles: Mapping[str, str]) -> list[str]:
    """Sentences on what differs, none where nothing does. `titles` of the songs, by id."""
    return list(_sentences(before, after, titles))


def _sentences(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    was, now = before.by_id, after.by_id
    for at, line in enumerate(after.lines, start=1):
        if line.id not in was:
            put_in = Says.REPRISE_PUT_IN if line.reprise else Says.PUT_IN
            yield _capital(put_in.said(line=name_of(line, titles), at=at))
    for line in before.lines:
        if line.id not in now:
            yield _capital(Says.TAKEN_OUT.said(line=name_of(line, titles)))
    yield from _moves(before, after, titles)
    for line in after.lines:
        if line.id in was:
            yield from _changed(was[line.id], line, titles)
    if before.target_s != after.target_s:
        wanted = format_duration(after.target_s)
        yield Says.WANTED.said(length=wanted) if wanted else Says.NOTHING_WANTED.said()


def _moves(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    here = [each for each in before.ids if each in after.by_id]
    there = [each for each in after.ids if each in before.by_id]
    differ = [at for at, (one, other) in enumerate(zip(here, there, strict=True)) if one != other]
    lines, places = after.by_id, {each: at for at, each in enumerate(after.ids, start=1)}
    if len(differ) == 2:
        one, other = (name_of(lines[here[at]], titles) for at in differ)
        yield _capital(Says.SWAPPED.said(one=one, other=other))
        return
    went = moved(here, there)
    if len(went) > MANY:
        yield Says.NEW_ORDER.said(n=len(went))
        return
    for each in went:
        name = name_of(lines[each], titles)
        yield _capital(Says.MOVED.said(line=name, place=places[each]))


def _changed(was: Line, now: Line, titles: Mapping[str, str]) -> Iterator[str]:
    name = _capital(name_of(now, titles))
    if was.title != now.title:
        yield _(_RETITLED[now.kind]).format(was=was.title, now=now.title)
    if was.cut != now.cut:
        yield (Says.CUT if now.cut else Says.NOT_CUT).said(line=name)
    if was.reprise != now.reprise:
        yield (Says.REPRISE if now.reprise else Says.NO_REPRISE).said(line=name)
    if was.joined != now.joined:
        yield (Says.JOINED if now.joined else Says.NOT_JOINED).said(line=name)
    if was.note != now.note:
        yield (Says.NOTE if now.note else Says.NO_NOTE).said(line=name, note=now.note)
    if was.length_s != now.length_s:
        length = format_duration(now.length_s)
        yield (Says.LASTS if length else Says.LASTS_AS_USUAL).said(line=name, length=length)


def words_retold(words: str) -> str:
    """A sentence of the history in the language of the reader."""
    messages = [*(each.value for each in Says), *_RETITLED.values()]
    told = retold(
        words,
        messages,
        line=_name_retold,
        one=_name_retold,
        other=_name_retold,
        at=moment_retold,
        show=show_retold,
    )
    return words if told == words else _capital(told)


def _name_retold(name: str) -> str:
    """What `name_of` said of a line, perhaps at the beginning of a sentence."""
    small = name[:1].lower() + name[1:]
    told = retold(small, [_NAMED, *_PLAIN.values(), *_TITLED.values()])
    return name if told == small else told


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
