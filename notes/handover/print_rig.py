"""One rig of a printed handover, as the data that rigs/paper/typ/handover.typ sets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core.languages.words import apart, each_of, leading
from notes.handover.note_words import heard_words
from notes.handover.sheet import song_data
from rigs.drawing.kit import Kit, kit_of
from rigs.drawing.kit_plan import kit_plan
from rigs.drawing.placement import alternative, placement_sketch
from rigs.paper.parts import input_data, unit_data
from rigs.paper.sheets import kit_data, link_data, printed_at
from rigs.wording import InputView, RigView, UnitView

Plain = dict[str, Any]
Pictures = dict[str, bytes]


def rig_data(rig: Plain, view: RigView, photos: list[Plain], pictures: Pictures) -> Plain:
    """`rig` is what was published of it, `view` the rig at that revision, `photos` as
    rigs.paper.pinned has them. Drawings are put into `pictures`. No queries."""
    short = rig["id"][:8]
    return {
        "name": f"{rig['name']}, {rig['variant']}",
        "stamp": _("change {number} · {digest}").format(
            number=rig["revision"], digest=rig["digest"][:8]
        ),
        "sound": rig["sound"]["words"],
        "notes": rig["notes"],
        "parties": [
            *(_party(party) for party in rig["parties"]),
            *(_panel(panel) for panel in rig.get("panels", [])),
        ],
        "cautions": [leading(each["about"], each["text"]) for each in rig["cautions"]],
        "changes": [_change(change) for change in rig["changes"]["told"]],
        "more": rig["changes"]["more"],
        "rejected": [_rejected(each) for each in rig["rejected"]],
        "open": [*_open(rig)],
        "findings": [_finding(each) for each in rig["findings"]],
        "scenes": [[each["title"], each["line"]] for each in rig.get("scenes", [])],
        # Schema 1 had no songs; the revision knows them.
        "songs": rig.get("songs") or [song_data(song) for song in view.songs],
        "units": [_unit(unit, f"unit-{short}-{n}", pictures) for n, unit in enumerate(view.units)],
        "links": [link_data(link) for link in view.links],
        "inputs": [
            _input(entry, f"input-{short}-{n}.svg", pictures) for n, entry in enumerate(view.inputs)
        ],
        "kit": _kit(kit_of(view), view.name, f"kit-{short}.svg", pictures),
        "photos": photos,
    }


def _unit(unit: UnitView, name: str, pictures: Pictures) -> Plain:
    data, drawn = unit_data(unit, name)
    pictures.update(drawn)
    words = apart(f"{each.name} {each.text or _('not set')}" for each in unit.controls)
    return {**data, "words": words}


def _input(entry: InputView, name: str, pictures: Pictures) -> Plain:
    sketch = placement_sketch(entry)
    if sketch:
        pictures[name] = sketch.encode()
    return {**input_data(entry), "sketch": name if sketch else "", "alt": alternative(entry)}


def _kit(kit: Kit, rig: str, name: str, pictures: Pictures) -> Plain:
    if kit.is_drawn:
        pictures[name] = kit_plan(kit, name=rig).encode()
    return {**kit_data(kit), "picture": name}


def _party(party: Plain) -> str:
    label = capfirst(party["label"])
    if party["at"] is None:
        return _("{party}: has not signed.").format(party=label)
    said = _SAID[party["state"] == "withheld", bool(party["changes_since"])]
    sentence = said(party["changes_since"]).format(
        party=label,
        name=party["name"],
        number=party["revision"],
        at=printed_at(datetime.fromisoformat(party["at"])),
        n=party["changes_since"],
        same=_(", the sound is the same") if party["state"] == "signed" else "",
    )
    return f"{sentence} “{party['words']}”" if party["words"] else sentence


# By whether it was withheld, and whether anything was changed since.
_SAID: dict[tuple[bool, bool], Callable[[int], str]] = {
    (False, False): lambda n: _("{party}: {name} signed change {number}, {at}."),
    (True, False): lambda n: _("{party}: {name} withheld, {at}."),
    (False, True): lambda n: ngettext(
        "{party}: {name} signed change {number}, {at}; {n} change since{same}.",
        "{party}: {name} signed change {number}, {at}; {n} changes since{same}.",
        n,
    ),
    (True, True): lambda n: ngettext(
        "{party}: {name} withheld, {at}; {n} change since.",
        "{party}: {name} withheld, {at}; {n} changes since.",
        n,
    ),
}


def _panel(panel: Plain) -> str:
    names = {
        "panel": panel["name"],
        "by": panel["by"],
        "at": printed_at(datetime.fromisoformat(panel["at"])),
        "parts": each_of(panel["since"]),
    }
    if panel["since"]:
        words = _(
            "Panel “{panel}”: all as documented, {by}, {at}; changed on record since: {parts}."
        )
    else:
        words = _("Panel “{panel}”: all as documented, {by}, {at}.")
    return words.format(**names)


def _change(change: Plain) -> Plain:
    return {
        "name": change["name"],
        "what": apart(line["text"] for line in change["lines"]),
        "why": " ".join(_why(why) for why in change["why"]),
    }


def _why(why: Plain) -> str:
    heard = [f"“{note['words']}” ({note['said_by']})" for note in why["notes"] if note["words"]]
    words = [capfirst(why["reason"]), why["words"], *heard]
    sentence = ". ".join(each.rstrip(".") for each in words if each)
    names = {"number": why["number"], "by": why["by"], "reason": sentence}
    if sentence:
        return _("Change {number}, {by}: {reason}.").format(**names)
    return _("Change {number}, {by}.").format(**names)


def _rejected(each: Plain) -> str:
    what = leading(each["input"], each_of([each["device"], each["place"]]))
    return leading(what, each["words"]) if each["words"] else f"{what}."


def _open(rig: Plain) -> Iterator[str]:
    for note in rig["open_notes"]:
        who = f" ({note['said_by']})" if note["said_by"] else ""
        yield leading(each_of(note["about"]), f"{heard_words(note)}{who}")
    if rig.get("open_notes_more"):
        yield _("Older notes are open, too.")
    for trial in rig["open_trials"]:
        yield _("On trial, {input}: {question}").format(
            input=trial["input"], question=trial["question"]
        )


def _finding(each: Plain) -> Plain:
    return {"title": each["title"], "why": f"{each['why']} {each['mend']}".strip()}
