"""Cut a handover down to so much of each thing, and count what is left out. Pure.

Cautions, the opening words and the people to call are never shortened; a caution that is the same
for many rigs is told once, in the general part.

    told = brief(content, where=level.where)    # in words, without what no level has
    shown, left = cut(told, level)

Words take longer than cutting, and many levels are tried: so they are made before.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import Any, NamedTuple

from notes.handover.in_words import in_words
from notes.handover.pace import first

Plain = dict[str, Any]
_SENTENCE_ENDS = re.compile(r"(?<=\.) +(?=[A-Z])")
# Of each rig only that there are some: the general part has them, with what each is about.
POINTED = {"about": "Cautions", "text": "See them above."}


class Level(NamedTuple):
    """How many of each are told of a rig (`record`: of a player), how many lines of a change, and
    how many words of a quotation and of the sound in the player’s words; and whether units are
    named, with their spares, their settings and their places on stage and in cases; and where
    microphones stand, rather than only what they are aimed at; how many lines of each
    monitor mix, which then stand in place of the words on the sound, and whether with the notes on
    EQ and limiter."""

    changes: int = 1
    lines: int = 1
    notes: int = 0
    tried: int = 0
    findings: int = 0
    songs: int = 0
    record: int = 0
    words: int = 10
    sound: int = 0
    units: bool = False
    spares: bool = False
    settings: bool = False
    places: bool = False
    where: bool = False
    mixes: int = 0
    mix_notes: bool = False


@dataclass(frozen=True, slots=True)
class Brief:
    """A handover in words without what no level has of it, and how much that was."""

    content: Plain
    left_out: Counter[str]


def brief(content: Plain, *, where: bool) -> Brief:
    """`content` to be cut; `where` is that of the level."""
    left: Counter[str] = Counter()
    sections = [
        {**each, "rigs": [_brief_rig(rig, where, left) for rig in each["rigs"]]}
        for each in content["sections"]
    ]
    shows = [{**show, "mix_distance": None} for show in content["leg"]["shows"]]
    leg = {**content["leg"], "shows": shows}
    general = {**content["general"], "gear": of_gear(content["sections"])}
    shortened = {**content, "leg": leg, "general": general, "sections": sections}
    return Brief(in_words(shortened, short=True), left)


def cut(told: Brief, level: Level) -> tuple[Plain, Counter[str]]:
    """What `level` has of it, and how much it leaves out."""
    content, left = told.content, Counter(told.left_out)
    sections = [
        {
            **each,
            "rigs": [_rig(rig, _beside(each, level), left) for rig in each["rigs"]],
            "record": _records(each, level, left),
            **_mixes(each, level, left),
        }
        for each in content["sections"]
    ]
    leg = {**content["leg"], "notes": first(content["leg"]["notes"], level.words)}
    general = {
        **content["general"],
        "record": _records(content["general"], level, left),
        **_mixes(content["general"], level, left),
    }
    # The unary plus drops what was left out no times.
    return {**content, "leg": leg, "general": general, "sections": sections}, +left


def _beside(section: Plain, level: Level) -> Level:
    """What is told of the rigs of a section: not again how it should sound out front, where its
    monitor mixes stand above."""
    return level._replace(sound=0) if level.mixes and section.get("mixes") else level


def _mixes(part: Plain, level: Level, left: Counter[str]) -> Plain:
    mixes = part.get("mixes", [])
    if not mixes:
        return {}
    if not level.mixes:
        left["monitor mixes"] += len(mixes)
        return {"mixes": []}
    return {"mixes": [_mix(each, level, left) for each in mixes]}


def _mix(mix: Plain, level: Level, left: Counter[str]) -> Plain:
    wants = [_quoted(each, level.words) for each in mix["wants"]]
    notes = {} if level.mix_notes else {"eq": "", "limiter": "", "output": ""}
    left["notes on monitor mixes"] += bool(mix["eq"] or mix["limiter"]) and bool(notes)
    shown = _first(wants, level.mixes, "lines of monitor mixes", left)
    return {**mix, "wants": shown, "signed": first(mix["signed"], level.words), **notes}


def _records(part: Plain, level: Level, left: Counter[str]) -> list[Plain]:
    rows = _first(part.get("record", []), level.record, "lines on records", left)
    return [{**each, "take": first(each["take"], level.words), "does": ""} for each in rows]


def of_gear(sections: list[Plain]) -> list[Plain]:
    """Each sentence of the cautions of the gear once, with all that it is about; those that are
    about the same, together."""
    about: dict[str, dict[str, list[str]]] = {}
    for rig in (rig for each in sections for rig in each["rigs"]):
        for caution in rig["cautions"]:
            for sentence in _SENTENCE_ENDS.split(caution["text"]):
                rigs = about.setdefault(sentence, {}).setdefault(caution["about"], [])
                if rig["name"] not in rigs:
                    rigs.append(rig["name"])
    told: dict[str, list[str]] = {}
    for sentence, things in about.items():
        names = ", ".join(f"{name} ({', '.join(where)})" for name, where in things.items())
        told.setdefault(names, []).append(sentence)
    return [{"about": names, "text": " ".join(sentences)} for names, sentences in told.items()]


def _brief_rig(rig: Plain, where: bool, left: Counter[str]) -> Plain:
    kit = rig.get("kit") or {}
    left["photos"] += len(rig["photos"])
    left["cables"] += len(rig["links"])
    left["scenes"] += len(rig.get("scenes", []))
    left["crew notes"] += bool(rig["notes"])
    left["marks of panels"] += len(rig.get("panels", []))
    left["places in the kit"] += len(kit.get("mics", []))
    return {
        **rig,
        "notes": "",
        "cautions": [POINTED] if rig["cautions"] else [],
        "variant": "",
        "revision": None,
        "panels": [],
        "links": [],
        "photos": [],
        "kit": None,
        "scenes": [],
        "inputs": [_brief_input(each, where, left) for each in rig["inputs"]],
        "changes": _brief_changes(rig["changes"], left),
        "findings": [{**each, "why": "", "mend": "", "sure": ""} for each in rig["findings"]],
    }


def _rig(rig: Plain, level: Level, left: Counter[str]) -> Plain:
    return {
        **rig,
        "sound": _sound(rig["sound"], level.sound, left),
        "parties": _parties(rig["parties"], level, left),
        "units": _units(rig["units"], level, left),
        "songs": _first(rig.get("songs", []), level.songs, "songs", left),
        "changes": _changes(rig["changes"], level, left),
        "open_notes": [
            _open_note(each, level.words, left)
            for each in _first(rig["open_notes"], level.notes, "open notes", left)
        ],
        "open_trials": _first(rig["open_trials"], level.notes, "open trials", left),
        "rejected": [
            _quoted(each, level.words)
            for each in _first(rig["rejected"], level.tried, "rejected alternatives", left)
        ],
        "findings": _first(rig["findings"], level.findings, "findings", left),
    }


def _quoted(party: Plain, words: int) -> Plain:
    return {**party, "words": first(party["words"], words)}


def _first(rows: list[Plain], number: int, what: str, left: Counter[str]) -> list[Plain]:
    left[what] += max(0, len(rows) - number)
    return rows[:number]


def _sound(sound: Plain, words: int, left: Counter[str]) -> Plain:
    left["sounds in the player’s words"] += bool(sound["words"]) and not words
    return _quoted(sound, words)


def _parties(rows: list[Plain], level: Level, left: Counter[str]) -> list[Plain]:
    """Where the player stands; of the others, only who withheld. Who signed when stands below the
    words that were signed."""
    parties = [
        {**_quoted(each, level.words), "name": each["name"] if each["party"] != "player" else ""}
        for each in rows
        if each["state"] == "withheld" or (level.sound and each["party"] == "player")
    ]
    left["signatures"] += len(rows) - len(parties)
    return parties


def _units(units: list[Plain], level: Level, left: Counter[str]) -> list[Plain]:
    """Units by name, with settings and spares, or none of them."""
    if not level.units:
        left["units"] += len(units)
        left["settings"] += sum(len(unit["controls"]) for unit in units)
        return []
    return [_unit(unit, level, left) for unit in units]


def _unit(unit: Plain, level: Level, left: Counter[str]) -> Plain:
    controls = unit["controls"] if level.settings else []
    left["settings"] += len(unit["controls"]) - len(controls)
    spares = unit["spares"] if level.spares else []
    left["spares"] += len(unit["spares"]) - len(spares)
    left["figures"] += len(unit["facts"])
    places = {name: unit[name] for name in ("stage", "case") if unit.get(name)}
    left["places of units"] += bool(places) and not level.places
    return {
        **unit,
        "controls": controls,
        "spares": spares,
        "facts": [],
        "notes": "",
        "serial": "",
        **(places if level.places else dict.fromkeys(places, "")),
    }


def _brief_input(each: Plain, where: bool, left: Counter[str]) -> Plain:
    left["details of inputs"] += len(each["specs"])
    device = each["device"] and {**each["device"], "figures": [], "pattern": "", "principle": ""}
    place = {} if where else _aim(each)
    left["places of microphones"] += any(each[key] != value for key, value in place.items())
    return {
        **each,
        "specs": [],
        "notes": "",
        "stand": "",
        "device": device,
        "problem": "",
        **place,
    }


def _aim(each: Plain) -> Plain:
    """What it is aimed at, where that is noted; or else all that is. Schemas 1 to 3 have one line
    of text for both, “cone edge, 35 mm (1.4 in) from grille”: of that, the first phrase."""
    if "placement" not in each:
        return {"where": each["where"].partition(", ")[0]}
    aim = {name: each["placement"][name] for name in ("aimed_at",) if name in each["placement"]}
    return {"placement": aim or each["placement"]}


def _brief_changes(changes: Plain, left: Counter[str]) -> Plain:
    """That there is a photo is no news where no photo is shown."""
    told = [each for each in changes["told"] if each["kind"] != "photo"]
    left["changes"] += len(changes["told"]) - len(told) + changes["more"]
    return {"told": told, "more": 0}


def _changes(changes: Plain, level: Level, left: Counter[str]) -> Plain:
    """The largest changes; of each its largest lines, and of its reasons the newest."""
    differences = _first(changes["told"], level.changes, "changes", left)
    return {**changes, "told": [_change(each, level) for each in differences]}


def _change(change: Plain, level: Level) -> Plain:
    words = level.words
    why = [
        {
            **each,
            "words": first(each["words"], words),
            "notes": [_note(note, words) for note in each["notes"][:1]],
        }
        for each in change["why"][:1]
    ]
    return {**change, "lines": change["lines"][: level.lines], "why": why}


def _open_note(note: Plain, words: int, left: Counter[str]) -> Plain:
    left["photos"] += len(note.get("photos", []))
    return _note({**note, "photos": []}, words)


def _note(note: Plain, words: int) -> Plain:
    """What was said; the reading of it only where nothing was said."""
    reading = "" if note["words"] else first(note["reading"], words)
    return {**note, "words": first(note["words"], words), "reading": reading}
