"""What a handover states as quantities, in words: the last step before it is read or printed. Pure.

Handovers of the schemas 1 to 3 hold those words instead of the quantities, and those of schema 4
hold figures and changes in words. What is in words stays as it is.
"""

from __future__ import annotations

from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext, pgettext

from core.languages.words import each_of
from core.units import format_both, format_length
from notes.handover.compare import News, photos_retold
from notes.monitors.words import inputs_retold, level_retold
from rigs.upkeep.cautions import about_retold, text_retold
from rigs.wording.changes import changed_words, short_retold
from rigs.wording.lengths import length_of, length_text, signed_length
from rigs.wording.placement import placement_words
from rigs.wording.quantities import data_text
from rigs.wording.values_retold import value_retold

Plain = dict[str, Any]


def ours(words: str) -> str:
    """Words that were stored in English and are the program’s own (a label, a kind of gear), in the
    language of the reader; what nobody translated stays as it is."""
    return gettext(words) if words else ""


def in_words(content: Plain, *, short: bool = False) -> Plain:
    """`content` with `where` of inputs, `place` of rejected alternatives, `mix` of shows, `name` of
    cables, `text` of settings, figures and changes, and the places of the kit. `short`: lengths in
    the crew's own unit alone."""
    leg = {**content["leg"], "shows": [_show(show, short) for show in content["leg"]["shows"]]}
    sections = [
        {**each, **_mixes(each), "rigs": [_rig(rig, short) for rig in each["rigs"]]}
        for each in content["sections"]
    ]
    general = {**content["general"], **_mixes(content["general"])}
    if "gear" in general:
        general["gear"] = [_caution(each) for each in general["gear"]]
    return {**content, "leg": leg, "general": general, "sections": sections}


def _caution(caution: Plain) -> Plain:
    return {"about": about_retold(caution["about"]), "text": text_retold(caution["text"])}


def _mixes(part: Plain) -> Plain:
    if "mixes" not in part:
        return {}
    return {"mixes": [_mix(mix) for mix in part["mixes"]]}


def _mix(mix: Plain) -> Plain:
    wants = [
        {
            **want,
            "level": level_retold(want["level"]),
            **{name: inputs_retold(want[name]) for name in ("about", "like")},
        }
        for want in mix["wants"]
    ]
    return {**mix, "sort": ours(mix["sort"]), "wants": wants}


def _show(show: Plain, short: bool) -> Plain:
    return {**show, "mix": _length(show["mix_distance"], short)} if "mix_distance" in show else show


def _rig(rig: Plain, short: bool) -> Plain:
    cautions = rig["cautions"]
    return {
        **rig,
        "variant": ours(rig["variant"]),
        "cautions": [_caution(each) if isinstance(each, dict) else each for each in cautions],
        "parties": [{**each, "label": ours(each["label"])} for each in rig["parties"]],
        "findings": [_finding(each) for each in rig["findings"]],
        "units": [_unit(each, short) for each in rig["units"]],
        "inputs": [_input(each, short) for each in rig["inputs"]],
        "changes": {**rig["changes"], "told": changes_in_words(rig["changes"]["told"], short)},
        "rejected": [_placed(each, "place", short) for each in rig["rejected"]],
        "links": [_link(each, short) for each in rig["links"]],
        "kit": _kit(rig.get("kit"), short),
    }


def _finding(finding: Plain) -> Plain:
    return {**finding, **{name: ours(finding[name]) for name in ("title", "why", "mend", "sure")}}


def _unit(unit: Plain, short: bool) -> Plain:
    return {**unit, "gear": ours(unit["gear"]), "facts": _values(unit["facts"], short)}


def _input(entry: Plain, short: bool) -> Plain:
    device = entry["device"]
    if device:
        device = {
            **device,
            "principle": ours(device["principle"]),
            "pattern": ours(device["pattern"]),
            "figures": _values(device["figures"], short),
        }
    specs = _values(entry["specs"], short)
    return {**_placed(entry, "where", short), "device": device, "specs": specs}


def _values(rows: list[Plain], short: bool) -> list[Plain]:
    """Labelled values, each with its `text`."""
    return [
        {**row, "label": ours(row["label"]), "text": data_text(row, both=not short)} for row in rows
    ]


def between_in_words(differences: Plain | None) -> Plain | None:
    """What differs between two handovers (notes.handover.compare), its changes in words."""
    if differences is None:
        return None
    sections = [
        {
            **each,
            "news": list(map(News.retold, each["news"])),
            "changes": changes_in_words(each["changes"], False),
            **_photos(each),
            "signed": [{**one, "label": ours(one["label"])} for one in each["signed"]],
        }
        for each in differences["sections"]
    ]
    general = [{**each, "label": ours(each["label"])} for each in differences["general"]]
    return {**differences, "general": general, "sections": sections}


def _photos(section: Plain) -> Plain:
    """Not told yet by handovers of schema 4."""
    if "photos" not in section:
        return {}
    photos = [
        {**note, "photo_changes": photos_retold(note["photo_changes"])}
        for note in section["photos"]
    ]
    return {"photos": photos}


def changes_in_words(parts: list[Plain], short: bool) -> list[Plain]:
    """Each part that differs, with `old`, `new` and `text` of its lines."""
    return [
        {
            **each,
            "lines": [_line(line, short) for line in each["lines"]],
            "why": [{**why, "reason": ours(why["reason"])} for why in each["why"]],
        }
        for each in parts
    ]


def _line(line: Plain, short: bool) -> Plain:
    stored, line = line["label"], {**line, "label": ours(line["label"])}
    # Up to schema 4 these were stored in words.
    if isinstance(line["old"], str):
        return line
    old, new = (
        value_retold(data_text(line[side], both=not short), stored) for side in ("old", "new")
    )
    text = short_retold(line.get("text", "")) or capfirst(changed_words(line["label"], old, new))
    return {**line, "old": old, "new": new, "text": text}


def _placed(entry: Plain, key: str, short: bool) -> Plain:
    # Up to schema 3 the sentence itself was stored.
    if "placement" not in entry:
        return entry
    lengths = format_length if short else format_both
    return {**entry, key: placement_words(entry["placement"], lengths=lengths)}


def _link(link: Plain, short: bool) -> Plain:
    link = {**link, "carries": ours(link["carries"])}
    if "length" not in link:
        return link
    parts = (link["cable"], link["connectors"], _length(link["length"], short))
    return {**link, "name": each_of(parts) or link["carries"]}


def _kit(kit: Plain | None, short: bool) -> Plain | None:
    if not kit or "mics" not in kit:
        return kit
    return {**kit, "mics": [_of_kit(mic, short) for mic in kit["mics"]]}


def _of_kit(mic: Plain, short: bool) -> Plain:
    """Seen by the drummer: “52 cm left, 17 cm in front”, in the crew's own unit alone."""
    if "right" not in mic:
        return mic
    sides = (
        ("right", pgettext("side", "right"), pgettext("side", "left")),
        ("front", pgettext("side", "in front"), pgettext("side", "behind")),
    )
    place = (
        signed_length(length_of(mic[name]), positive, negative, both=False)
        for name, positive, negative in sides
    )
    return {
        **mic,
        "place": each_of(place),
        "plan": _length(mic["from_snare"], short),
        "straight": _length(mic["tape"], short),
    }


def _length(data: dict[str, str] | None, short: bool) -> str:
    return length_text(length_of(data), both=not short)
