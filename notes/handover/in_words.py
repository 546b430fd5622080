"""What a handover states as quantities, in words: the last step before it is read or printed. Pure.

Handovers of the schemas 1 to 3 hold those words instead of the quantities, and stay as they are.
"""

from __future__ import annotations

from typing import Any

from core.units import format_both, format_length
from rigs.wording.lengths import length_of, length_text, signed_length
from rigs.wording.placement import placement_words

Plain = dict[str, Any]


def in_words(content: Plain, *, short: bool = False) -> Plain:
    """`content` with `where` of inputs, `place` of rejected alternatives, `mix` of shows, `name` of
    cables, `text` of settings and the places of the kit. `short`: lengths in the crew's own unit
    alone."""
    leg = {**content["leg"], "shows": [_show(show, short) for show in content["leg"]["shows"]]}
    sections = [
        {**each, "rigs": [_rig(rig, short) for rig in each["rigs"]]} for each in content["sections"]
    ]
    return {**content, "leg": leg, "sections": sections}


def _show(show: Plain, short: bool) -> Plain:
    return {**show, "mix": _length(show["mix_distance"], short)} if "mix_distance" in show else show


def _rig(rig: Plain, short: bool) -> Plain:
    return {
        **rig,
        "inputs": [_input(each, short) for each in rig["inputs"]],
        "rejected": [_placed(each, "place", short) for each in rig["rejected"]],
        "links": [_link(each, short) for each in rig["links"]],
        "kit": _kit(rig.get("kit"), short),
    }


def _input(entry: Plain, short: bool) -> Plain:
    specs = [
        {**spec, "text": _length(spec["length"], short)} if "length" in spec else spec
        for spec in entry["specs"]
    ]
    return {**_placed(entry, "where", short), "specs": specs}


def _placed(entry: Plain, key: str, short: bool) -> Plain:
    if "placement" not in entry:
        return entry
    lengths = format_length if short else format_both
    return {**entry, key: placement_words(entry["placement"], lengths=lengths)}


def _link(link: Plain, short: bool) -> Plain:
    if "length" not in link:
        return link
    parts = (link["cable"], link["connectors"], _length(link["length"], short))
    return {**link, "name": ", ".join(filter(None, parts)) or link["carries"]}


def _kit(kit: Plain | None, short: bool) -> Plain | None:
    if not kit or "mics" not in kit:
        return kit
    return {**kit, "mics": [_of_kit(mic, short) for mic in kit["mics"]]}


def _of_kit(mic: Plain, short: bool) -> Plain:
    """Seen by the drummer: “52 cm left, 17 cm in front”, in the crew's own unit alone."""
    if "right" not in mic:
        return mic
    sides = (("right", "right", "left"), ("front", "in front", "behind"))
    place = (
        signed_length(length_of(mic[name]), positive, negative, both=False)
        for name, positive, negative in sides
    )
    return {
        **mic,
        "place": ", ".join(filter(None, place)),
        "plan": _length(mic["from_snare"], short),
        "straight": _length(mic["tape"], short),
    }


def _length(data: dict[str, str] | None, short: bool) -> str:
    return length_text(length_of(data), both=not short)
