"""The ten-minute version: what is left of a handover if only the largest things are told. Pure.

Cautions, the opening words and the people to call are never shortened; a caution that is the same
for many rigs is told once, in the general part. The rest is cut level by level until the whole can
be read in ten minutes; what was left out is counted.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from typing import Any, NamedTuple

from notes.published.orders import Order

Plain = dict[str, Any]
MINUTES = 10
GEAR_CAUTIONS = "This can hurt: see the cautions of the gear in the general part."
# Most adults read 175 to 300 words of English non-fiction a minute (M. Brysbaert, "How many words
# do we read per minute?", Journal of Memory and Language 109, 2019, 104047). The slow end of it:
# this is read on a telephone, by people who have other things to look at.
WORDS_A_MINUTE = 175
# Headings, labels, dates and states of the page come on top of the words that are counted; measured
# on the demonstration, and tested there.
_LABELS = 1.32


class Level(NamedTuple):
    """How many of each are told of a rig, and how many words of a quotation.

    `own` is the detail of the reader's own trade, `other` that of the others: settings and spares
    for a tech, where the microphones stand for everybody else. Without `other` a tech is not told
    the sound in the player's words, and everybody else not which units there are.
    """

    changes: int
    notes: int
    tried: int
    findings: int
    words: int
    own: bool
    other: bool


LEVELS = (
    Level(6, 5, 4, 3, 60, True, True),
    Level(4, 3, 2, 2, 40, True, True),
    Level(3, 3, 2, 1, 30, True, False),
    Level(3, 2, 1, 0, 20, True, False),
    Level(2, 1, 0, 0, 16, True, False),
    Level(1, 1, 0, 0, 10, True, False),
    Level(1, 0, 0, 0, 10, False, False),
)


@dataclass(frozen=True, slots=True)
class Version:
    """A handover's content as it is shown, how long it takes, and what stands only in the full."""

    content: Plain
    words: int
    left_out: Counter[str]

    @property
    def minutes(self) -> int:
        """At WORDS_A_MINUTE, rounded up; at least one."""
        return minutes(self.words)


def minutes(words: int) -> int:
    return max(1, ceil(words / WORDS_A_MINUTE))


def full(content: Plain) -> Version:
    return Version(content, words_of(content), Counter())


def short(content: Plain, order: Order) -> Version:
    """The longest version of at most MINUTES. Of a very large handover, the shortest there is."""
    found = _cut(content, LEVELS[0], order)
    for level in LEVELS[1:]:
        if found.words <= MINUTES * WORDS_A_MINUTE:
            break
        found = _cut(content, level, order)
    return found


def _cut(content: Plain, level: Level, order: Order) -> Version:
    left: Counter[str] = Counter()
    sections = [
        {**each, "rigs": [_rig(rig, level, order, left) for rig in each["rigs"]]}
        for each in content["sections"]
    ]
    shows = [{**show, "mix": ""} for show in content["leg"]["shows"]]
    leg = {**content["leg"], "notes": first(content["leg"]["notes"], level.words), "shows": shows}
    general = {**content["general"], "gear": _gear(content["sections"])}
    shown = {**content, "leg": leg, "general": general, "sections": sections}
    return Version(shown, words_of(shown), +left)


def _gear(sections: list[Plain]) -> list[Plain]:
    """Each caution of the gear once, with all that it is about."""
    about: dict[str, list[str]] = {}
    for rig in (rig for each in sections for rig in each["rigs"]):
        for caution in rig["cautions"]:
            about.setdefault(caution["text"], []).append(f"{caution['about']} ({rig['name']})")
    return [{"about": ", ".join(names), "text": text} for text, names in about.items()]


def _pointed(cautions: list[Plain]) -> list[Plain]:
    """In one line: what there is a caution about, and where it stands."""
    names = ", ".join(each["about"] for each in cautions)
    return [{"about": names, "text": GEAR_CAUTIONS}] if cautions else []


def _rig(rig: Plain, level: Level, order: Order, left: Counter[str]) -> Plain:
    tech = order.key == "tech"
    settings, where = (level.own, level.other) if tech else (level.other, level.own)
    told = level.other or not tech  # how it should sound, and who says that it does
    left["photos"] += len(rig["photos"])
    left["cables"] += len(rig["links"])
    left["crew notes"] += bool(rig["notes"])
    return {
        **rig,
        "notes": "",
        "cautions": _pointed(rig["cautions"]),
        "variant": "",
        "revision": None,
        "sound": _sound(rig["sound"], level.words if told else 0, left),
        "parties": _parties(rig["parties"], told, level.words, left),
        "units": _units(rig["units"], settings, tech, left),
        "links": [],
        "photos": [],
        "inputs": [_input(each, where, left) for each in rig["inputs"]],
        "changes": _changes(rig["changes"], level, left),
        "open_notes": [
            _note(each, level.words)
            for each in _some(rig["open_notes"], level.notes, "open notes", left)
        ],
        "open_trials": _some(rig["open_trials"], level.notes, "open trials", left),
        "rejected": [
            _quoted(each, level.words)
            for each in _some(rig["rejected"], level.tried, "rejected alternatives", left)
        ],
        "findings": [
            {**each, "why": "", "mend": "", "sure": ""}
            for each in _some(rig["findings"], level.findings, "findings", left)
        ],
    }  # fmt: skip


def _quoted(said: Plain, words: int) -> Plain:
    return {**said, "words": first(said["words"], words)}


def _some(rows: list[Plain], number: int, what: str, left: Counter[str]) -> list[Plain]:
    left[what] += max(0, len(rows) - number)
    return rows[:number]


def _sound(sound: Plain, words: int, left: Counter[str]) -> Plain:
    left["sounds in the player’s words"] += bool(sound["words"]) and not words
    return _quoted(sound, words)


def _parties(rows: list[Plain], told: bool, words: int, left: Counter[str]) -> list[Plain]:
    """Where the player stands; of the others, only who withheld."""
    kept = [
        _quoted(each, words)
        for each in rows
        if each["state"] == "withheld" or (told and each["party"] == "player")
    ]
    left["signatures"] += len(rows) - len(kept)
    return kept


def _units(units: list[Plain], detail: bool, tech: bool, left: Counter[str]) -> list[Plain]:
    """For a tech always by name, with settings and spares where there is room for `detail`."""
    if not detail and not tech:
        left["units"] += len(units)
        left["settings"] += sum(len(unit["controls"]) for unit in units)
        return []
    return [_unit(unit, tech and detail, left) for unit in units]


def _unit(unit: Plain, settings: bool, left: Counter[str]) -> Plain:
    controls = unit["controls"] if settings else []
    left["settings"] += len(unit["controls"]) - len(controls)
    spares = unit["spares"] if settings else []
    left["spares"] += len(unit["spares"]) - len(spares)
    left["figures"] += len(unit["facts"])
    return {**unit, "controls": controls, "spares": spares, "facts": [], "notes": "", "serial": ""}


def _input(each: Plain, where: bool, left: Counter[str]) -> Plain:
    left["details of inputs"] += len(each["specs"])
    device = each["device"] and {**each["device"], "figures": [], "pattern": "", "principle": ""}
    left["places of microphones"] += not where and bool(each["where"])
    return {
        **each, "specs": [], "notes": "", "stand": "", "device": device,
        # Of two units of length, the one that was written.
        "where": re.sub(r" \([^)]*\)", "", each["where"]) if where else "",
    }  # fmt: skip


def _changes(changes: Plain, level: Level, left: Counter[str]) -> Plain:
    """Of each change the two largest lines, and of its reasons the newest."""
    told = _some(changes["told"], level.changes, "changes", left)
    left["changes"] += changes["more"]
    return {"told": [_change(each, level.words) for each in told], "more": 0}


def _change(change: Plain, words: int) -> Plain:
    why = [
        {
            **each, "words": first(each["words"], words),
            "notes": [_note(note, words) for note in each["notes"][:1]],
        }
        for each in change["why"][:1]
    ]  # fmt: skip
    return {**change, "lines": change["lines"][:2], "why": why}


def _note(note: Plain, words: int) -> Plain:
    """What was said; the reading of it only where nothing was said."""
    reading = "" if note["words"] else first(note["reading"], words)
    return {**note, "words": first(note["words"], words), "reading": reading}


def first(text: str, number: int) -> str:
    """The first so many words of a text, with … where there were more."""
    words = text.split()
    if not number:
        return ""
    return text if len(words) <= number else f"{' '.join(words[:number])} …"


_UNREAD = frozenset({
    "schema", "production", "id", "key", "digest", "previous", "by_player", "sign_off", "sha256",
    "image", "period", "size", "trial", "kind", "what", "state", "party", "written", "between",
    "alternative", "severity", "old", "new", "label", "is_new", "song",
})  # fmt: skip


def words_of(value: Any) -> int:
    """About how many words a page of it has, its labels included."""
    return ceil(_words(value) * _LABELS)


def _words(value: Any) -> int:
    if isinstance(value, str):
        return len(value.split())
    if isinstance(value, dict):
        return sum(_words(each) for key, each in value.items() if key not in _UNREAD)
    if isinstance(value, Iterable):
        return sum(_words(each) for each in value)
    return 0 if value is None or isinstance(value, bool) else 1
