"""What a change did to a set, in words of the language that is read. Reads and writes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.durations import format_duration
from core.sets.merge import moved
from core.sets.state import BREAK, ENCORE, HEADING, NOTE, SONG, Line, State

# Also what a line says of which nobody typed more: kept in English, shown by `title_of`.
KINDS = {
    HEADING: gettext_noop("Section"),
    ENCORE: gettext_noop("Encore"),
    BREAK: gettext_noop("Break"),
    NOTE: gettext_noop("Between songs"),
}
_PLAIN = {
    HEADING: gettext_lazy("section"),
    ENCORE: gettext_lazy("encore"),
    BREAK: gettext_lazy("break"),
    NOTE: gettext_lazy("between songs"),
}
_TITLED = {
    HEADING: gettext_lazy("section “{title}”"),
    ENCORE: gettext_lazy("encore “{title}”"),
    BREAK: gettext_lazy("break “{title}”"),
    NOTE: gettext_lazy("between songs “{title}”"),
}
_RETITLED = {
    HEADING: gettext_lazy("Section “{was}” is now “{now}”."),
    ENCORE: gettext_lazy("Encore “{was}” is now “{now}”."),
    BREAK: gettext_lazy("Break “{was}” is now “{now}”."),
    NOTE: gettext_lazy("Between songs “{was}” is now “{now}”."),
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


def title_of(line: Line) -> str:
    """What a line between songs says."""
    return _(line.title) if line.title == KINDS.get(line.kind) else line.title


def name_of(line: Line, titles: Mapping[str, str]) -> str:
    if line.kind == SONG:
        return _("“{title}”").format(title=titles.get(line.song or "") or _("a song"))
    if line.title == KINDS[line.kind]:
        return str(_PLAIN[line.kind])
    return _TITLED[line.kind].format(title=line.title)


def in_words(before: State, after: State, titles: Mapping[str, str]) -> list[str]:
    """Sentences on what differs, none where nothing does. `titles` of the songs, by id."""
    return list(_sentences(before, after, titles))


def _sentences(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    was, now = before.by_id, after.by_id
    for at, line in enumerate(after.lines, start=1):
        if line.id not in was:
            put_in = (
                _("{line} put in at {at} as a reprise.")
                if line.reprise
                else _("{line} put in at {at}.")
            )
            yield _capital(put_in.format(line=name_of(line, titles), at=at))
    for line in before.lines:
        if line.id not in now:
            yield _capital(_("{line} taken out.").format(line=name_of(line, titles)))
    yield from _moves(before, after, titles)
    for line in after.lines:
        if line.id in was:
            yield from _changed(was[line.id], line, titles)
    if before.target_s != after.target_s:
        wanted = format_duration(after.target_s)
        yield (
            _("Length wanted: {length}.").format(length=wanted)
            if wanted
            else _("No length is wanted any more.")
        )


def _moves(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    here = [each for each in before.ids if each in after.by_id]
    there = [each for each in after.ids if each in before.by_id]
    differ = [at for at, (one, other) in enumerate(zip(here, there, strict=True)) if one != other]
    lines, places = after.by_id, {each: at for at, each in enumerate(after.ids, start=1)}
    if len(differ) == 2:
        one, other = (name_of(lines[here[at]], titles) for at in differ)
        yield _capital(_("{one} and {other} swapped.").format(one=one, other=other))
        return
    went = moved(here, there)
    if len(went) > MANY:
        yield _("A new order; {n} lines moved.").format(n=len(went))
        return
    for each in went:
        name = name_of(lines[each], titles)
        yield _capital(_("{line} moved to {place}.").format(line=name, place=places[each]))


def _changed(was: Line, now: Line, titles: Mapping[str, str]) -> Iterator[str]:
    name = _capital(name_of(now, titles))
    if was.title != now.title:
        yield _RETITLED[now.kind].format(was=was.title, now=now.title)
    if was.cut != now.cut:
        yield (_("{line} cut.") if now.cut else _("{line} played after all.")).format(line=name)
    if was.reprise != now.reprise:
        words = _("{line} is a reprise.") if now.reprise else _("{line} is no reprise.")
        yield words.format(line=name)
    if was.joined != now.joined:
        words = (
            _("{line} goes straight on.") if now.joined else _("{line} does not go straight on.")
        )
        yield words.format(line=name)
    if was.note != now.note:
        words = _("{line}: “{note}”.") if now.note else _("{line}: note taken out.")
        yield words.format(line=name, note=now.note)
    if was.length_s != now.length_s:
        length = format_duration(now.length_s)
        words = _("{line} lasts {length}.") if length else _("{line} lasts as usual.")
        yield words.format(line=name, length=length)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
