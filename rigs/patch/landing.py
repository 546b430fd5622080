"""Where each input lands: from the way it is plugged into along the runs to the desk. Pure.

Nothing here knows the database. Ways are numbered from 1; ids are texts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rigs.checks.stage import StageLine, Way


class BoxFacts(NamedTuple):
    """A box: its mark, how many ways it has, and whether they go to the desk or the split."""

    id: str
    mark: str
    ways: int
    to_desk: bool
    split: str = ""
    direct: str = ""
    place: str = ""


class RunFacts(NamedTuple):
    """`ways` ways of `source` from `first` on, plugged into `target` from `target_first` on."""

    source: str
    first: int
    target: str
    target_first: int
    ways: int


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What is recorded of an input's line. `box` is empty where it has no way."""

    box: str = ""
    way: int = 0
    monitor_channel: int | None = None
    split: str = ""
    phantom_from: str = ""


class Chain(NamedTuple):
    """The ways that a line passes, the one it is plugged into first; it ends at the last.

    `lands` where that one goes to the desk. A chain that comes back to a way it passed is a
    `circle`; any other that does not land is loose.
    """

    passed: tuple[Way, ...]
    lands: bool
    circle: bool = False


class Boxes:
    """The boxes and runs of a production, to follow lines along."""

    def __init__(self, boxes: Iterable[BoxFacts], runs: Iterable[RunFacts]) -> None:
        self.by_id: Mapping[str, BoxFacts] = {box.id: box for box in boxes}
        self._next: dict[Way, Way] = {}
        for run in runs:
            for step in range(run.ways):
                start = Way(run.source, run.first + step)
                # Of two runs from one way the first counts: a way has one plug.
                self._next.setdefault(start, Way(run.target, run.target_first + step))
        self.fed = frozenset(self._next.values())

    def has(self, way: Way) -> bool:
        box = self.by_id.get(way.box)
        return box is not None and 1 <= way.number <= box.ways

    def chain(self, start: Way) -> Chain:
        """The ways from `start` on, itself first. One that leads to no way of a box is loose."""
        passed: list[Way] = []
        at: Way | None = start
        while at is not None and self.has(at):
            if at in passed:
                return Chain(tuple(passed), lands=False, circle=True)
            passed.append(at)
            at = self._next.get(at)
        lands = at is None and bool(passed) and self.by_id[passed[-1].box].to_desk
        return Chain(tuple(passed), lands)

    def named(self, way: Way) -> str:
        """“A 12”, with a space that does not break."""
        box = self.by_id.get(way.box)
        return f"{box.mark if box else '?'}\u00a0{way.number}"


def land(line: LineFacts, boxes: Boxes) -> StageLine:
    """The line of one input laid out for rules and lists."""
    if not line.box:
        return StageLine(monitor_channel=line.monitor_channel, phantom_from=line.phantom_from)
    chain = boxes.chain(Way(line.box, line.way))
    split, direct = _split(chain, boxes)
    return StageLine(
        passed=chain.passed,
        names=tuple(boxes.named(way) for way in chain.passed),
        lands=chain.lands,
        circle=chain.circle,
        monitor_channel=line.monitor_channel,
        split=line.split or split,
        direct=direct,
        phantom_from=line.phantom_from,
        place=boxes.by_id[line.box].place if line.box in boxes.by_id else "",
    )


def _split(chain: Chain, boxes: Boxes) -> tuple[str, str]:
    """The split of the last box that states one, and its direct side."""
    for way in reversed(chain.passed):
        box = boxes.by_id[way.box]
        if box.split:
            return box.split, box.direct
    return "", ""


def spare_of(box: str, boxes: Boxes, used: Collection[Way]) -> list[int]:
    """The ways of a box into which nothing is plugged, ascending. `used` are those that a line
    passes or another act takes."""
    # Where another box is plugged in, the free way is at that one.
    return [
        number
        for number in range(1, boxes.by_id[box].ways + 1)
        if (way := Way(box, number)) not in used and way not in boxes.fed
    ]


def spare_ways(boxes: Boxes, used: Collection[Way]) -> list[Way]:
    """`spare_of` every box, in their order."""
    return [Way(box, number) for box in boxes.by_id for number in spare_of(box, boxes, used)]


def spans(numbers: Sequence[int]) -> str:
    """“1–4, 7, 9–12” of ascending numbers."""
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(p[0]) if len(p) == 1 else f"{p[0]}–{p[-1]}" for p in parts)
