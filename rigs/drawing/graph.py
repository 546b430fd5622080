"""The signal path as a graph: what feeds what, in which layer, and what looks wrong with it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from rigs.changes.played import BYPASSED
from rigs.checks.bench import NO_SOUND
from rigs.checks.circles import Way, circles, effects_loops
from rigs.drawing.svg import fit, width_of, wrap
from rigs.gear import Gear
from rigs.models.scenes import UNIT_STATES
from rigs.picked_up import in_words
from rigs.wording.unit_views import UnitView
from rigs.wording.views import GroupView, InputView, LinkView, RigView

LABEL_COLUMNS = 25
_SIDE = re.compile(r"^(?P<rest>.*?)[\s,(–-]*\b(?P<side>l|r|left|right)\b[)]?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Station:
    """A unit or an input of the path, a group of units that an input picks up as one, or the rig of
    another player. Its place in the rig is its place in the tuple."""

    id: str
    name: str
    is_input: bool = False
    # Second line: the microphone of an input, that a unit is bypassed, how many units a group has.
    note: str = ""
    is_bypassed: bool = False
    is_group: bool = False
    is_other: bool = False

    @property
    def is_gathered(self) -> bool:
        """Whether it stands for more than one thing."""
        return self.is_group or self.is_other


@dataclass(frozen=True, slots=True)
class Cable:
    """A link, or the way from a unit or a group to the input that takes it up, or from a unit to
    its group (`is_pickup`)."""

    id: str
    source: str
    target: str
    name: str = ""
    label: tuple[str, ...] = ()  # the name as drawn: short lines, but with length and connectors
    carries: str = ""
    is_pickup: bool = False
    from_socket: str = ""
    to_socket: str = ""


@dataclass(slots=True)
class Graph:
    """`back` has the ids of the cables that close a loop; `layers` counts from 0 at the top."""

    stations: tuple[Station, ...]
    cables: tuple[Cable, ...]
    back: set[str] = field(default_factory=set)
    loops: list[list[str]] = field(default_factory=list)
    layers: dict[str, int] = field(default_factory=dict)
    pairs: list[tuple[str, str]] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    elsewhere: tuple[str, ...] = ()  # names of inputs of other rigs that take up all of it

    @property
    def names(self) -> dict[str, str]:
        return {station.id: station.name for station in self.stations}


def graph_of(view: RigView, bypassed: Collection[str] = ()) -> Graph:
    """The graph of a rig; `bypassed` are ids of units that a scene leaves out."""
    units = [_unit(unit, bypassed) for unit in view.units]
    inputs = [Station(entry.id, entry.label, True, _device(entry)) for entry in view.inputs]
    groups = [group for group in view.groups if any(group.id in e.chosen for e in view.inputs)]
    gathered = [Station(g.id, g.name, note=_count(g), is_group=True) for g in groups]
    others = {other for entry in view.inputs for other in entry.others}
    beside = [Station(*o, note=_("another rig"), is_other=True) for o in sorted(others)]
    known = {unit.id for unit in view.units}
    cables = [
        Cable(
            link.id,
            link.source,
            link.target,
            link.name,
            _label(link),
            link.carries,
            from_socket=link.from_socket,
            to_socket=link.to_socket,
        )
        for link in view.links
        if {link.source, link.target} <= known and link.source != link.target
    ]
    # Through its group, not from each unit: two overheads over eight drums would be sixteen lines.
    ways = [(unit, group.id) for group in groups for unit in group.units]
    ways += [(source, entry.id) for entry in view.inputs for source in entry.chosen]
    known |= {station.id for station in (*gathered, *beside)}
    cables += [
        Cable(f"to-{target}-{source}", source, target, is_pickup=True)
        for source, target in ways
        if source in known and source != target
    ]
    graph = Graph((*units, *gathered, *beside, *inputs), tuple(cables))
    graph.back, graph.loops = _loops(graph)
    graph.layers = _layers(graph)
    graph.pairs = stereo_pairs(graph)
    graph.elsewhere = tuple(each.name for each in view.elsewhere)
    graph.findings = _findings(graph, {unit.id: unit.traits for unit in view.units})
    return graph


def _unit(unit: UnitView, bypassed: Collection[str]) -> Station:
    left_out = unit.id in bypassed
    note = str(UNIT_STATES[BYPASSED]) if left_out else ""
    return Station(unit.id, unit.name, note=note, is_bypassed=left_out)


def _count(group: GroupView) -> str:
    n = len(group.units)
    return ngettext("{n} unit", "{n} units", n).format(n=n)


def _device(entry: InputView) -> str:
    return (entry.device.short or entry.device.name) if entry.device else ""


def _label(link: LinkView) -> tuple[str, ...]:
    """Lines of at most LABEL_COLUMNS. What has to be cut is the cable's name, not its length;
    connectors that do not fit beside them have a line of their own."""
    length = link.short_length
    parts = [part for part in (link.cable, link.connectors, length) if part]
    whole = ", ".join(parts)
    if not parts or width_of(whole) <= LABEL_COLUMNS:
        return (whole,) if whole else ()
    if not (link.cable and link.connectors):
        return (_cut(parts[0], length),)
    return _cut(link.cable, length), *wrap(link.connectors, LABEL_COLUMNS)


def _cut(name: str, length: str) -> str:
    if not length:
        return fit(name, LABEL_COLUMNS)
    return f"{fit(name, LABEL_COLUMNS - width_of(length) - 2)}, {length}"


def _loops(graph: Graph) -> tuple[set[str], list[list[str]]]:
    """The cables to turn round so that no loop is left, and the stations of each loop."""
    out: dict[str, list[Cable]] = defaultdict(list)
    for cable in graph.cables:
        out[cable.source].append(cable)
    back: set[str] = set()
    loops: list[list[str]] = []
    done: set[str] = set()
    for station in graph.stations:
        if station.id not in done:
            _walk(station.id, out, done, back, loops)
    return back, loops


def _walk(
    start: str,
    out: dict[str, list[Cable]],
    done: set[str],
    back: set[str],
    loops: list[list[str]],
) -> None:
    """Depth first, without recursion: a path may be longer than Python's stack."""
    trail, at = [start], {start: 0}
    waiting = [iter(out[start])]
    while trail:
        cable = next(waiting[-1], None)
        if cable is None:
            left = trail.pop()
            waiting.pop()
            del at[left]
            done.add(left)
        elif cable.target in at:
            back.add(cable.id)
            loops.append(trail[at[cable.target] :])
        elif cable.target not in done:
            at[cable.target] = len(trail)
            trail.append(cable.target)
            waiting.append(iter(out[cable.target]))


def directed(graph: Graph) -> list[tuple[str, str, Cable]]:
    """Every cable from its upper to its lower end: one that closes a loop is turned round."""
    return [
        (c.target, c.source, c) if c.id in graph.back else (c.source, c.target, c)
        for c in graph.cables
    ]


def _layers(graph: Graph) -> dict[str, int]:
    """The longest way down to each station. A station that only feeds others hangs just above."""
    edges = directed(graph)
    into: dict[str, int] = {station.id: 0 for station in graph.stations}
    out: dict[str, list[str]] = defaultdict(list)
    for upper, lower, _third in edges:
        into[lower] += 1
        out[upper].append(lower)
    roots = [station for station, count in into.items() if count == 0]
    layers = dict.fromkeys(into, 0)
    ready = list(roots)
    while ready:
        station = ready.pop()
        for lower in out[station]:
            layers[lower] = max(layers[lower], layers[station] + 1)
            into[lower] -= 1
            if into[lower] == 0:
                ready.append(lower)
    # Otherwise every source would stand in the top row, however far down what it feeds is.
    for root in roots:
        if out[root]:
            layers[root] = min(layers[lower] for lower in out[root]) - 1
    return layers


def stereo_pairs(graph: Graph) -> list[tuple[str, str]]:
    """Left and right by name: “Cabinet L” and “Cabinet R” beside each other."""
    by_pair: dict[tuple[str, bool], dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for station in graph.stations:
        match = _SIDE.match(
            re.sub(r"^\d+ ", "", station.name) if station.is_input else station.name
        )
        if match and match["rest"].strip():
            # A unit and an input of one name are no pair.
            key = (match["rest"].strip().casefold(), station.is_input)
            by_pair[key][match["side"][0].casefold()].append(station.id)
    pairs = [
        (sides["l"][0], sides["r"][0])
        for sides in by_pair.values()
        if len(sides["l"]) == 1 and len(sides["r"]) == 1
    ]
    return [(left, right) for left, right in pairs if graph.layers[left] == graph.layers[right]]


def _findings(graph: Graph, gear: dict[str, Gear]) -> list[str]:
    names = graph.names
    ways = _ways(graph)
    in_circle = {part for knot in circles(ways) for part in knot}
    ends = {(c.source, c.target) for c in graph.cables if c.id in in_circle}
    sentences = [
        _("The path runs in a loop: {path}.").format(
            path=" → ".join([*(names[s] for s in loop), names[loop[0]]])
        )
        for loop in graph.loops
        if ends.issuperset(zip(loop, [*loop[1:], loop[0]], strict=True))
    ]
    feeds, fed = (
        {getattr(c, end) for c in graph.cables if c.carries != "power"}
        for end in ("source", "target")
    )
    for station in graph.stations:
        if station.is_input:
            if station.id not in fed:
                sentences.append(
                    _("Nobody has said what {station} takes its sound from.").format(
                        station=station.name
                    )
                )
        elif station.is_group:
            if station.id not in fed:
                sentences.append(
                    _("Nobody has said which units belong to {station}.").format(
                        station=station.name
                    )
                )
        elif station.id in feeds or not _asks_for_more(station, gear, graph, fed):
            continue
        elif station.id in fed:
            sentences.append(
                _("The path ends at {station}: nothing goes on, no input takes it up.").format(
                    station=station.name
                )
            )
        elif not gear[station.id].acoustic:
            sentences.append(
                _("{station} is not connected to anything.").format(station=station.name)
            )
        else:
            sentences.append(_("No input takes up {station}.").format(station=station.name))
    return sentences


def _asks_for_more(
    station: Station, gear: dict[str, Gear], graph: Graph, fed: Collection[str]
) -> bool:
    """Whether something has to go on from there."""
    if station.is_other or not gear[station.id].carries_sound:
        return False
    # What takes up all of the rig takes this up, too, unless nothing reaches it.
    taken_up = bool(graph.elsewhere) and (station.id in fed or gear[station.id].acoustic)
    return not taken_up


def _ways(graph: Graph) -> list[Way]:
    return [
        Way(c.id, c.source, c.target, c.from_socket, c.to_socket)
        for c in graph.cables
        if not c.is_pickup and c.carries not in NO_SOUND
    ]


def components(graph: Graph) -> list[set[str]]:
    """What hangs together, in the order in which the rig names its first unit."""
    near: dict[str, set[str]] = {station.id: set() for station in graph.stations}
    for cable in graph.cables:
        near[cable.source].add(cable.target)
        near[cable.target].add(cable.source)
    seen: set[str] = set()
    result = []
    for station in graph.stations:
        if station.id not in seen:
            result.append(_reach(station.id, near))
            seen |= result[-1]
    return result


def _reach(start: str, near: dict[str, set[str]]) -> set[str]:
    reached, waiting = {start}, [start]
    while waiting:
        for other in near[waiting.pop()] - reached:
            reached.add(other)
            waiting.append(other)
    return reached


def described(graph: Graph) -> list[str]:
    """The same as a list of sentences, for those who do not see the drawing."""
    names = graph.names
    notes = {station.id: station.note for station in graph.stations}
    groups = [station for station in graph.stations if station.is_group]
    gathered = {group.id for group in groups}
    return (
        [_sentence(c, names, notes) for c in graph.cables if c.target not in gathered]
        + [_group_sentence(group, graph) for group in groups]
        + [
            _("Input {input} takes up all of this rig.").format(input=name)
            for name in graph.elsewhere
        ]
        + [
            _("{station} is {state}.").format(station=each.name, state=each.note)
            for each in graph.stations
            if each.is_bypassed
        ]
        + [
            _("{left} and {right} are a stereo pair.").format(left=names[left], right=names[right])
            for left, right in graph.pairs
        ]
        + [
            _(
                "{unit} has an effects loop: what leaves its send comes back into its return."
            ).format(unit=names[unit])
            for unit in effects_loops(_ways(graph))
        ]
    )


def _sentence(cable: Cable, names: dict[str, str], notes: dict[str, str]) -> str:
    start, end = names[cable.source], names[cable.target]
    if cable.is_pickup:
        words = (
            _("{start} is taken up by input {end} with {device}.")
            if notes[cable.target]
            else _("{start} is taken up by input {end}.")
        )
        return words.format(start=start, end=end, device=notes[cable.target])
    return f"{start} → {end}{f': {cable.name}' if cable.name else ''}."


def _group_sentence(group: Station, graph: Graph) -> str:
    units = [cable.source for cable in graph.cables if cable.target == group.id]
    words = _("{group} is {units}.") if units else _("{group} is no unit yet.")
    return words.format(group=capfirst(group.name), units=in_words(units, graph.names))


def ordered(layers: dict[str, int], members: Iterable[str]) -> list[list[str]]:
    """Members of each layer from the top, layers without a member left out."""
    rows: dict[int, list[str]] = defaultdict(list)
    for member in members:
        rows[layers[member]].append(member)
    return [rows[layer] for layer in sorted(rows)]


__all__: Sequence[str] = (
    "Cable",
    "Graph",
    "Station",
    "components",
    "described",
    "directed",
    "graph_of",
    "ordered",
    "stereo_pairs",
)
