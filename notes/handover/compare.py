"""What is different between two handovers as plain data: by player, the largest first. Pure.

What was changed on the rigs comes from their history (notes.handover.changes), with its reasons;
words, signatures, notes and trials are compared here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.utils.translation import gettext_lazy, gettext_noop, ngettext

from core.languages.sentences import Sentences
from core.languages.words import each_of

Plain = dict[str, Any]
GENERAL_WORDS = (
    ("opening", gettext_lazy("To whoever takes over")),
    ("cautions", gettext_lazy("Cautions")),
    ("people", gettext_lazy("People to call")),
)


class News(Sentences):
    """What is told of a section beside its changes."""

    PLAYER_GONE = gettext_noop("{player} is no longer in it.")
    PLAYER_NEW = gettext_noop("{player} is new in it.")
    CALLED = gettext_noop("Is now called {now}, before: {before}.")
    PLAYS = gettext_noop("Now plays {now}, before: {before}.")
    RIG_NEW = gettext_noop("“{rig}” is new.")
    RIG_GONE = gettext_noop("“{rig}” is no longer in use.")
    MIX_CHANGED = gettext_noop("Monitor mix “{mix}” is changed.")
    MIX_NEW = gettext_noop("Monitor mix “{mix}” is new.")


def differences(before: Plain, now: Plain, changed: Mapping[str, Plain]) -> Plain:
    """`changed` is what happened to each rig (by id), as `changes_data` gives it.

    `general` has the words that changed, `sections` the players with something to tell; both are
    empty where nothing is different. A player's changes are sorted the largest first over all of
    their rigs; signatures, notes, photos of notes and trials follow, because they say what was
    thought of it.
    """
    old = {each["key"]: each for each in before["sections"]}
    new = {each["key"]: each for each in now["sections"]}
    sections = [_section(old.get(key), each, changed) for key, each in new.items()]
    gone = [_gone(each) for key, each in old.items() if key not in new]
    return {
        "general": _general(before["general"], now["general"]),
        "sections": [each for each in (*sections, *gone) if _is_filled(each)],
    }


def is_empty(comparison: Plain) -> bool:
    return not comparison["general"] and not comparison["sections"]


def _general(before: Plain, now: Plain) -> list[Plain]:
    return [
        {"label": str(label), "old": _text(before[name]), "new": _text(now[name])}
        for name, label in GENERAL_WORDS
        if before[name] != now[name]
    ]


def _text(value: str | list[str]) -> str:
    return value if isinstance(value, str) else "\n".join(value)


_LISTS = ("news", "changes", "signed", "notes", "photos", "settled", "trials", "decided")


def _is_filled(section: Plain) -> bool:
    return any(section[name] for name in _LISTS) or section["more"] > 0


def _blank(section: Plain) -> Plain:
    lists: Plain = {name: [] for name in _LISTS}
    return {"key": section["key"], "player": section["player"], "more": 0, **lists}


def _gone(section: Plain) -> Plain:
    return _blank(section) | {"news": [News.PLAYER_GONE.said(player=section["player"]["name"])]}


def _section(before: Plain | None, now: Plain, changed: Mapping[str, Plain]) -> Plain:
    result = _blank(now)
    result["news"] = list(_news(before, now))
    known = {rig["id"]: rig for rig in (before or {"rigs": []})["rigs"]}
    for rig in now["rigs"]:
        was = known.get(rig["id"])
        # A rig that is new is told as news; there is nothing to compare it with.
        if was is not None:
            _compare(result, was, rig, changed.get(rig["id"]))
    # Sorting keeps the order of equals: that of the rigs, and of the history within a rig.
    result["changes"].sort(key=lambda each: largest_first(each["size"]))
    return result


def largest_first(size: list[int]) -> tuple[int, int]:
    """Sorts what `changes_data` wrote as [rank, tenths of a degree]."""
    rank, amount = size
    return rank, -amount


def _news(before: Plain | None, now: Plain) -> Iterator[str]:
    # All of a player who is new is new, and not told one by one.
    if before is None:
        yield News.PLAYER_NEW.said(player=now["player"]["name"])
        return
    for name, news in (("name", News.CALLED), ("instrument", News.PLAYS)):
        if before["player"][name] != now["player"][name]:
            yield news.said(now=now["player"][name], before=before["player"][name])
    there, then = _ids(now["rigs"]), _ids(before["rigs"])
    yield from (News.RIG_NEW.said(rig=rig["name"]) for rig in now["rigs"] if rig["id"] not in then)
    mixes = {each["id"]: each for each in before.get("mixes", ())}
    yield from (
        (News.MIX_CHANGED if mix["id"] in mixes else News.MIX_NEW).said(mix=mix["name"])
        for mix in now.get("mixes", ())
        if mixes.get(mix["id"], {}).get("version") != mix["version"]
    )
    yield from (
        News.RIG_GONE.said(rig=rig["name"]) for rig in before["rigs"] if rig["id"] not in there
    )


def _compare(result: Plain, was: Plain, rig: Plain, changes: Plain | None) -> None:
    about = {"id": rig["id"], "name": rig["name"]}
    if changes:
        result["changes"] += [{**each, "rig": about} for each in changes["told"]]
        result["more"] += changes["more"]
    signed = {each["sign_off"] for each in was["parties"]}
    result["signed"] += [
        {**each, "rig": about, "decision": _decision(each)}
        for each in rig["parties"]
        if each["sign_off"] and each["sign_off"] not in signed
    ]
    result["notes"] += _only(rig["open_notes"], was["open_notes"], about, _told_since(was))
    result["settled"] += _only(was["open_notes"], rig["open_notes"], about, _told_since(rig))
    result["trials"] += _only(rig["open_trials"], was["open_trials"], about)
    result["decided"] += _only(was["open_trials"], rig["open_trials"], about)
    result["photos"] += _photos(was["open_notes"], rig["open_notes"], about)


def _photos(before: Iterable[Plain], now: Iterable[Plain], about: Plain) -> Iterator[Plain]:
    """Notes that were open before, too, with the photos they got since, and in words how many."""
    # A note without photos is stored without the key.
    known = {note["id"]: note.get("photos", []) for note in before}
    for note in now:
        old, new = known.get(note["id"]), note.get("photos", [])
        if old is None:
            continue
        added = [photo for photo in new if photo["id"] not in _ids(old)]
        gone = len(_ids(old) - _ids(new))
        changes = _photo_changes(len(added), gone)
        if changes:
            yield {**note, "photos": added, "photo_changes": changes, "rig": about}


def _photo_changes(added: int, removed: int) -> str:
    came = ngettext("{n} photo added", "{n} photos added", added).format(n=added)
    went = ngettext("{n} photo removed", "{n} photos removed", removed).format(n=removed)
    return each_of([came if added else "", went if removed else ""])


_ADDED, _REMOVED = re.compile(r"(\d+) photos? added"), re.compile(r"(\d+) photos? removed")


def photos_retold(words: str) -> str:
    """How many photos came and went, as it was stored in English, in the language of the reader."""
    came, went = _ADDED.search(words), _REMOVED.search(words)
    return _photo_changes(int(came[1]) if came else 0, int(went[1]) if went else 0)


def _decision(party: Plain) -> str:
    return "withheld" if party["state"] == "withheld" else "signed"


def _told_since(rig: Plain) -> str:
    """The moment from which all open notes of `rig` are told; of older ones nothing is known."""
    return min(each["at"] for each in rig["open_notes"]) if rig.get("open_notes_more") else ""


def _only(
    here: Iterable[Plain], there: Iterable[Plain], about: Plain, since: str = ""
) -> list[Plain]:
    """Those that are here and not there; none from before `since`, up to which nobody told."""
    known = _ids(there)
    return [
        {**each, "rig": about}
        for each in here
        if each["id"] not in known and (not since or each["at"] >= since)
    ]


def _ids(rows: Iterable[Plain]) -> set[str]:
    return {row["id"] for row in rows}
