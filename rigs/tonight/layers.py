"""What holds at a show: the documented rig, the layers of the leg on it, then that of the show.

This is the one meaning of “tonight”; pages, paper, run sheet, lists and API ask here. A layer says
something of one unit and holds only what differs. What is documented is never touched: `laid`
answers with a state of its own, and the very edits that make it are what makes a layer permanent.
Scenes and songs come on top (rigs.changes.played): documented, leg, show, scene, song. No queries.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from core.languages.words import in_every_language
from rigs.changes.edits import Add, Edit, Fields, Retire, Set, Snapshot
from rigs.radio import CHANNEL, FREQUENCY, MHZ, PACK, parse_radio
from rigs.revisions.references import PART_POINTERS
from rigs.settings_of_controls import Style

SET, REPLACED, DOCUMENTED = "set", "replaced", "documented"
STRING_SET = "string_set"
MESSAGE_KIND, MIDI = "song_setting", "midi"
NUMBERS = ("channel", "bank_msb", "bank_lsb", "program", "controller", "amount")
# What of a unit is of that very piece, and goes with it.
_OF_THE_PIECE = ("gear", "maker", "model", "serial")
_BELONGS = ("control", "fact", "spare", "scene")


@dataclass(frozen=True, slots=True)
class Layer:
    """What a show, or the rest of a leg, says of one unit.

    `fields` are those of the unit; `settings` are of controls by their id; `controls` are those of
    what came instead, by the ids they get. `strings` are gauges, `radio` as rigs.radio spells it,
    `image` the id of a stored photo. `messages` are the numbers of MIDI messages of songs, by their
    id, None for what is not sent. Empty is as documented.
    """

    id: str
    unit: str
    what: str = SET
    fields: Mapping[str, Any] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)
    controls: Mapping[str, Fields] = field(default_factory=dict)
    strings: str = ""
    radio: str = ""
    pack: str = ""
    image: str = ""
    messages: Mapping[str, Mapping[str, int] | None] = field(default_factory=dict)


def counting(layers: Iterable[Layer]) -> list[Layer]:
    """The layers that count, lowest first: below another unit, and below “as documented again”,
    nothing that was said of the same unit does."""
    kept: list[Layer] = []
    for layer in layers:
        if layer.what != SET:
            kept = [each for each in kept if each.unit != layer.unit]
        if layer.what != DOCUMENTED:
            kept.append(layer)
    return kept


def laid(documented: Snapshot, layers: Iterable[Layer]) -> Snapshot:
    """`documented` with `layers` on it, lowest first. What is passed in is left as it is."""
    state = documented
    for layer in counting(layers):
        state = _carried_out(state, edits_of(state, layer))
    return state


def edits_of(state: Snapshot, layer: Layer) -> list[Edit]:
    """The edits by which the rig in `state` becomes as the layer says; none where it lacks the
    unit, or says so already."""
    if state.get(layer.unit, {}).get("kind") != "unit" or layer.what == DOCUMENTED:
        return []
    edits: list[Edit] = []
    if layer.what == REPLACED:
        edits += _replacing(state, layer)
        state = _carried_out(state, edits)
    values = _differing(state, layer)
    edits += [Set(layer.unit, "unit", values)] if values else []
    for control, setting in layer.settings.items():
        there = state.get(control, {})
        if there.get("unit") == layer.unit and there.get("setting", "") != setting:
            edits.append(Set(control, "control", {"setting": setting}))
    edits += _of_messages(state, layer)
    return [*edits, *_of_radio(state, layer), *_of_strings(state, layer)]


def belonging(state: Snapshot, unit: str) -> list[str]:
    """The ids of what leaves with a unit that is replaced: its controls, figures, strings, scenes
    and photos, then whatever speaks of those. Its cables and inputs stay."""
    gone = [
        part
        for part, known in state.items()
        if (known["kind"] in _BELONGS and known.get("unit") == unit)
        or (known["kind"] == "photo" and known.get("about") == unit)
    ]
    leaving = set(gone)
    while more := [p for p in state if p not in leaving and _speaks_of(state[p], leaving)]:
        gone += more
        leaving.update(more)
    return gone


def lost(documented: Snapshot, state: Snapshot) -> list[tuple[str, str]]:
    """What songs and scenes say of controls that are not there: the id of the song or scene, and
    that of the control."""
    return [
        (str(known.get("song") or known.get("scene")), str(known["control"]))
        for part, known in documented.items()
        if part not in state
        and known["kind"] in ("song_setting", "scene_entry")
        and known.get("control")
    ]


def _speaks_of(known: Fields, leaving: set[str]) -> bool:
    pointers = PART_POINTERS.get(str(known["kind"]), ())
    return any(known.get(name) in leaving for name in pointers)


def _replacing(state: Snapshot, layer: Layer) -> list[Edit]:
    # What points comes after what it points at in `gone`, and has to leave first.
    gone = reversed(belonging(state, layer.unit))
    edits: list[Edit] = [Retire(part, str(state[part]["kind"])) for part in gone]
    edits += [
        Add(part, "control", {**known, "unit": layer.unit})
        for part, known in layer.controls.items()
    ]
    if layer.image:
        shown = {"image": layer.image, "about": layer.unit}
        edits.append(Add(_named(layer, "photo"), "photo", shown))
    return edits


def _differing(state: Snapshot, layer: Layer) -> dict[str, Any]:
    there = state[layer.unit]
    if layer.what == REPLACED:
        # Also what is empty: the serial number of ours is not that of what came.
        values = {name: layer.fields.get(name, "") for name in _OF_THE_PIECE}
        values |= {n: v for n, v in layer.fields.items() if v and n not in _OF_THE_PIECE}
    else:
        values = {n: v for n, v in layer.fields.items() if v and n not in _OF_THE_PIECE}
    return {n: v for n, v in values.items() if str(there.get(n) or "") != str(v)}


def _of_radio(state: Snapshot, layer: Layer) -> Iterable[Edit]:
    if layer.radio:
        radio = parse_radio(layer.radio)
        # What was documented of the other two is not true tonight, so each is said or emptied.
        mhz = format(radio.mhz, "f") if radio.mhz is not None else ""
        yield from _said(state, layer, FREQUENCY, mhz, MHZ)
        yield from _said(state, layer, CHANNEL, radio.channel)
    if layer.pack:
        yield from _said(state, layer, PACK, layer.pack)


def _said(
    state: Snapshot, layer: Layer, name: str, setting: str, symbol: str = ""
) -> Iterable[Edit]:
    part = control_of(state, layer.unit, name, symbol)
    if part is None and setting:
        style = Style.VALUE if symbol else Style.TEXT
        said = {"unit": layer.unit, "name": name, "style": style.value, "setting": setting}
        yield Add(_named(layer, name), "control", said | ({"symbol": symbol} if symbol else {}))
    elif part is not None and str(state[part].get("setting", "")) != setting:
        yield Set(part, "control", {"setting": setting})


def control_of(state: Snapshot, unit: str, name: str, symbol: str = "") -> str | None:
    """The control of a unit by its name, or by the symbol of its value (MHz)."""
    for part, known in state.items():
        if known["kind"] == "control" and known.get("unit") == unit:
            is_it = (
                known.get("symbol") == symbol
                if symbol
                else str(known.get("name")) in in_every_language(name)
            )
            if is_it:
                return part
    return None


def radio_controls(state: Snapshot, unit: str) -> list[str]:
    """The controls of a unit that its radio and pack fields speak of."""
    found = (
        control_of(state, unit, FREQUENCY, MHZ),
        control_of(state, unit, CHANNEL),
        control_of(state, unit, PACK),
    )
    return [part for part in found if part is not None]


def strings_of(state: Snapshot, unit: str) -> str | None:
    """The part that says what strings a unit has."""
    for part, known in state.items():
        if (
            known["kind"] == "spare"
            and known.get("unit") == unit
            and known.get("sort") == STRING_SET
        ):
            return part
    return None


def _of_strings(state: Snapshot, layer: Layer) -> Iterable[Edit]:
    if not layer.strings:
        return
    part = strings_of(state, layer.unit)
    if part is None:
        said = {
            "unit": layer.unit,
            "sort": STRING_SET,
            "what": "Strings",
            "gauges": layer.strings,
        }
        yield Add(_named(layer, "strings"), "spare", said)
    elif state[part].get("gauges", "") != layer.strings:
        yield Set(part, "spare", {"gauges": layer.strings})


def _of_messages(state: Snapshot, layer: Layer) -> Iterable[Edit]:
    there = messages_to(state, layer.unit)
    for part, numbers in layer.messages.items():
        if part not in there:
            continue
        if numbers is None:
            yield Retire(part, MESSAGE_KIND)
        elif numbers != numbers_of(there[part]):
            yield Set(part, MESSAGE_KIND, {name: numbers.get(name) for name in NUMBERS})


def messages_to(state: Snapshot, unit: str) -> dict[str, Fields]:
    """The MIDI messages that songs send to a unit, by their id."""
    return {
        part: known
        for part, known in state.items()
        if known["kind"] == MESSAGE_KIND and known.get("what") == MIDI and known.get("unit") == unit
    }


def numbers_of(message: Fields) -> dict[str, int]:
    """What a message sends, as far as it says it."""
    return {name: int(str(message[name])) for name in NUMBERS if message.get(name) is not None}


def _named(layer: Layer, name: str) -> str:
    """The id of a part that a layer adds: the same whenever it is laid."""
    return str(uuid5(UUID(layer.id), name))


def _carried_out(state: Snapshot, edits: Sequence[Edit]) -> Snapshot:
    """`state` after `edits`, in a copy of what they touch."""
    result = dict(state)
    for edit in edits:
        if isinstance(edit, Retire):
            result.pop(edit.part, None)
            continue
        before = result.get(edit.part, {}) if isinstance(edit, Set) else {}
        values = {"kind": edit.kind, **before, **edit.fields}
        # As in a snapshot: what is at its default is left out.
        result[edit.part] = {name: v for name, v in values.items() if v not in ("", None)}
    return result
