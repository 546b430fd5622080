"""Which row of a signal path each station stands in, and in which order along it.

Sugiyama's scheme (K. Sugiyama, S. Tagawa, M. Toda, IEEE Trans. SMC 11(2), 1981): loops are turned
round, layers are those of the longest path, cables that pass a row have a lane in it, and crossings
are lessened by barycentres. Where a layer holds more than fits side by side, rows are filled branch
by branch instead, the branch that was begun first, so that few cables have to pass a row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Set as SetOf

from rigs.drawing.graph import Cable, Graph, directed, ordered

WIDTH = 156.0  # of a station
LANE = 10.0  # of the way of a cable past a row
GAP, LANE_GAP = 16.0, 6.0  # between stations; between a station and a lane
# Passes up and down that lessen crossings; a fixed number, so that it always ends.
SWEEPS = 6


class Rows:
    """One connected part of the path. A slot of a row is a station's id or the name of a lane.

    `ways` has each cable with the slots it passes, from its upper to its lower end. Cables of one
    kind that leave the same station share their lanes and part where they have to.
    """

    def __init__(self, graph: Graph, members: set[str], columns: int) -> None:
        self.graph = graph
        self.columns = columns
        self.edges = [edge for edge in directed(graph) if edge[0] in members]
        self.partner = {
            a: b for left, right in graph.pairs for a, b in ((left, right), (right, left))
        }
        in_order = [station.id for station in graph.stations if station.id in members]
        layers = ordered(graph.layers, in_order)
        fits = all(len(layer) <= columns for layer in layers)
        self.rows: list[list[str]] = layers if fits else self._filled(in_order)
        self.row_of = {name: row for row, names in enumerate(self.rows) for name in names}
        self.lanes: set[str] = set()
        self._add_lanes()
        self._lessen_crossings()

    def _filled(self, in_order: list[str]) -> list[list[str]]:
        """Rows of at most `columns` stations, each below all that feeds it."""
        above: dict[str, set[str]] = defaultdict(set)
        below: dict[str, set[str]] = defaultdict(set)
        for upper, lower, _ in self.edges:
            above[lower].add(upper)
            below[upper].add(lower)
        at: dict[str, int] = {}
        rows: list[list[str]] = []
        while len(at) < len(in_order):
            free = [name for name in in_order if name not in at and above[name] <= at.keys()]
            row: list[str] = []
            while len(row) < self.columns:
                # What stands in this row already counts for its neighbours, not for what it feeds.
                placed = at | dict.fromkeys(row, len(rows))
                due = {name: _due(name, above, below, placed) for name in free if name not in row}
                together = self._next(row, due, placed.keys())
                if not together:
                    break
                row += together
            at |= dict.fromkeys(row, len(rows))
            rows.append(row)
        return rows

    def _next(self, row: list[str], due: dict[str, int], placed: SetOf[str]) -> list[str]:
        """The station to add to `row`, with the other of its pair; nothing where none fits."""
        torn = []
        for name in sorted(due, key=lambda each: -due[each]):
            if due[name] < 0 and row:
                break  # it begins a path of its own: not before this row's are under way
            other = self.partner.get(name)
            if other is None or self.columns == 1 or other in placed:
                together = [name]
            elif other in due:
                together = [name, other]
            else:
                torn.append(name)
                continue
            if len(row) + len(together) <= self.columns:
                return together
        return [] if row else torn[:1]

    def _add_lanes(self) -> None:
        """A cable that passes a row takes a lane there, shared with those it runs beside."""
        self.ways: list[tuple[Cable, list[str]]] = []
        for upper, lower, cable in self.edges:
            way = [upper]
            kind = (cable.id in self.graph.back, cable.is_pickup, cable.carries)
            for row in range(self.row_of[upper] + 1, self.row_of[lower]):
                lane = f"{upper}@{kind}@{row}"
                if lane not in self.lanes:
                    self.lanes.add(lane)
                    self.rows[row].append(lane)
                    self.row_of[lane] = row
                way.append(lane)
            self.ways.append((cable, [*way, lower]))

    def _lessen_crossings(self) -> None:
        up: dict[str, list[str]] = defaultdict(list)
        down: dict[str, list[str]] = defaultdict(list)
        for _, way in self.ways:
            for upper, lower in zip(way, way[1:], strict=False):
                up[lower].append(upper)
                down[upper].append(lower)
        for sweep in range(SWEEPS):
            near = up if sweep % 2 == 0 else down
            rows = self.rows if sweep % 2 == 0 else self.rows[::-1]
            place = self.middles()
            for row in rows:
                row.sort(key=lambda name: self._pull(name, near, place))
                # Sorting may have put something between the two of a stereo pair.
                self._unite_pairs(row)
                place.update(self._middles_of(row))

    def _pull(self, name: str, near: dict[str, list[str]], place: dict[str, float]) -> float:
        """The mean place of what it hangs on; of a pair, that of both."""
        names = [name, self.partner[name]] if self.partner.get(name) in place else [name]
        places = [place[other] for one in names for other in near[one]]
        return sum(places) / len(places) if places else place[name]

    def _unite_pairs(self, row: list[str]) -> None:
        for name in list(row):
            other = self.partner.get(name)
            if other in row and (name, other) in self.graph.pairs:
                row.remove(other)
                row.insert(row.index(name) + 1, other)

    def middles(self) -> dict[str, float]:
        """Where the middle of each slot is, the middle of its row being 0."""
        return {name: x for row in self.rows for name, x in self._middles_of(row).items()}

    def _middles_of(self, row: list[str]) -> dict[str, float]:
        x = -self.width(row) / 2
        middles = {}
        for at, name in enumerate(row):
            x += self._gap(row[at - 1], name) if at else 0.0
            middles[name] = x + self._slot(name) / 2
            x += self._slot(name)
        return middles

    def width(self, row: list[str]) -> float:
        gaps = sum(self._gap(a, b) for a, b in zip(row, row[1:], strict=False))
        return sum(self._slot(name) for name in row) + gaps

    def _slot(self, name: str) -> float:
        return LANE if name in self.lanes else WIDTH

    def _gap(self, left: str, right: str) -> float:
        lanes = (left in self.lanes) + (right in self.lanes)
        return (GAP, LANE_GAP, 0.0)[lanes]


def _due(
    name: str, above: dict[str, set[str]], below: dict[str, set[str]], placed: dict[str, int]
) -> int:
    """The row in which its path was last under way; −1 for what begins one."""
    if above[name]:
        return max(placed[upper] for upper in above[name])
    beside = {other for lower in below[name] for other in above[lower]}
    return max((placed[other] for other in beside if other in placed), default=-1)
