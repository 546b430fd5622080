"""What a change did to a set, in words. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from core.durations import format_duration
from core.sets.merge import moved
from core.sets.state import BREAK, ENCORE, HEADING, NOTE, SONG, Line, State

KINDS = {HEADING: "Section", ENCORE: "Encore", BREAK: "Break", NOTE: "Between songs"}
FIELD_LABELS = {
    "title": "words",
    "cut": "cut",
    "reprise": "reprise",
    "joined": "straight on from the song before",
    "note": "note",
    "length_s": "length",
    "target_s": "length wanted",
}
MANY = 4  # lines that moved: named one by one up to here


def name_of(line: Line, titles: Mapping[str, str]) -> str:
    if line.kind == SONG:
        return f"“{titles.get(line.song or '', 'a song')}”"
    kind = KINDS[line.kind]
    return kind.lower() if line.title == kind else f"{kind.lower()} “{line.title}”"


def in_words(before: State, after: State, titles: Mapping[str, str]) -> list[str]:
    """Sentences on what differs, none where nothing does. `titles` of the songs, by id."""
    return list(_sentences(before, after, titles))


def _sentences(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    was, now = before.by_id, after.by_id
    for at, line in enumerate(after.lines, start=1):
        if line.id not in was:
            more = " as a reprise" if line.reprise else ""
            yield _capital(f"{name_of(line, titles)} put in at {at}{more}.")
    for line in before.lines:
        if line.id not in now:
            yield _capital(f"{name_of(line, titles)} taken out.")
    yield from _moves(before, after, titles)
    for line in after.lines:
        if line.id in was:
            yield from _changed(was[line.id], line, titles)
    if before.target_s != after.target_s:
        wanted = format_duration(after.target_s)
        yield f"Length wanted: {wanted}." if wanted else "No length is wanted any more."


def _moves(before: State, after: State, titles: Mapping[str, str]) -> Iterator[str]:
    here = [each for each in before.ids if each in after.by_id]
    there = [each for each in after.ids if each in before.by_id]
    differ = [at for at, (one, other) in enumerate(zip(here, there, strict=True)) if one != other]
    lines, places = after.by_id, {each: at for at, each in enumerate(after.ids, start=1)}
    if len(differ) == 2:
        one, other = (name_of(lines[here[at]], titles) for at in differ)
        yield _capital(f"{one} and {other} swapped.")
        return
    went = moved(here, there)
    if len(went) > MANY:
        yield f"A new order; {len(went)} lines moved."
        return
    for each in went:
        yield _capital(f"{name_of(lines[each], titles)} moved to {places[each]}.")


def _changed(was: Line, now: Line, titles: Mapping[str, str]) -> Iterator[str]:
    name = _capital(name_of(now, titles))
    if was.title != now.title:
        yield f"{KINDS[now.kind]} “{was.title}” is now “{now.title}”."
    if was.cut != now.cut:
        yield f"{name} cut." if now.cut else f"{name} played after all."
    if was.reprise != now.reprise:
        yield f"{name} is a reprise." if now.reprise else f"{name} is no reprise."
    if was.joined != now.joined:
        yield f"{name} goes straight on." if now.joined else f"{name} does not go straight on."
    if was.note != now.note:
        yield f"{name}: “{now.note}”." if now.note else f"{name}: note taken out."
    if was.length_s != now.length_s:
        length = format_duration(now.length_s)
        yield f"{name} lasts {length}." if length else f"{name} lasts as usual."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
