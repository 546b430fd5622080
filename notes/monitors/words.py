"""A mix and what a change did to it, in words. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from core.sets.merge import moved
from notes.models import MonitorMix
from notes.monitors.state import AS_LOUD, LEVELS, NONE, OF_MIX, MixState, Want

KINDS: dict[str, str] = {str(value): str(label) for value, label in MonitorMix.Kind.choices}
LABELS = {
    "name": "name",
    "kind": "kind",
    "player": "player",
    "position": "position",
    "output": "output",
    "eq": "EQ",
    "limiter": "limiter",
    "level": "how much",
    "inputs": "of what",
    "like": "as loud as",
    "words": "in words",
}
Name = Callable[[str], str]  # a ref → what it is called


def want_in_words(want: Want, name: Name) -> str:
    """“more 9 Vox, 10 Vox Thessa”, “3 Bass as loud as 1 Kick”."""
    about = ", ".join(name(ref) for ref in want.inputs)
    if not about:
        return f"{LEVELS[want.level]}: “{want.words}”"
    if want.level == AS_LOUD:
        said = f"{about} {LEVELS[AS_LOUD]} {name(want.like)}"
    elif want.level == NONE:
        all_of = "all of "
        is_all = about.startswith(all_of)
        said = f"nothing of {about.removeprefix(all_of)}" if is_all else f"no {about}"
    else:
        said = f"{LEVELS[want.level]} {about}"
    return f"{said}: “{want.words}”" if want.words else said


def in_words(
    before: MixState, after: MixState, name: Name, players: Mapping[str, str]
) -> list[str]:
    """Sentences on what differs, none where nothing does. `players` are names by id."""
    return list(_sentences(before, after, name, players))


def _sentences(
    before: MixState, after: MixState, name: Name, players: Mapping[str, str]
) -> Iterator[str]:
    for field in OF_MIX:
        was, now = getattr(before, field), getattr(after, field)
        if was != now:
            yield _changed(field, value_in_words(field, now, name, players))
    was_there, there = before.by_id, after.by_id
    for at, want in enumerate(after.wants, start=1):
        if want.id not in was_there:
            yield f"Put in at {at}: {want_in_words(want, name)}."
    for want in before.wants:
        if want.id not in there:
            yield f"Taken out: {want_in_words(want, name)}."
    places = {each: at for at, each in enumerate(after.ids, start=1)}
    for each in moved(before.ids, after.ids):
        yield f"Moved to {places[each]}: {want_in_words(there[each], name)}."
    for want in after.wants:
        old = was_there.get(want.id)
        if old is not None and old != want:
            yield f"{_capital(want_in_words(old, name))} is now {want_in_words(want, name)}."


def _changed(field: str, value: str) -> str:
    label = _capital(LABELS[field])
    return f"{label}: {value}." if value else f"{label}: nothing."


def value_in_words(field: str, value: object, name: Name, players: Mapping[str, str]) -> str:
    if field == "kind":
        return KINDS.get(str(value), str(value))
    if field == "player":
        return players.get(str(value), "") if value else ""
    if field == "level":
        return LEVELS.get(str(value), str(value))
    if field == "like":
        return name(str(value)) if value else ""
    if isinstance(value, tuple):
        return ", ".join(name(ref) for ref in value)
    return str(value)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
