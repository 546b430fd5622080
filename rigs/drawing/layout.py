"""Where the stations and cables of a signal path stand: layers from top to bottom.

Sugiyama's scheme (K. Sugiyama, S. Tagawa, M. Toda, IEEE Trans. SMC 11(2), 1981): loops turned
round, layers by longest path, crossings lessened by barycentres, cables that pass a row given a
lane in it. Rows hold few stations, so that the drawing stays readable on a phone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from rigs.drawing.graph import Cable, Graph, components, directed, ordered
from rigs.drawing.svg import width_of

WIDTH, HEIGHT = 132.0, 48.0  # of a station
GAP, MARGIN = 16.0, 8.0
LANE = 12.0  # width of the way of a cable past a row
ROW_GAP, LABEL_HEIGHT = 30.0, 17.0
PER_COLUMN = 6.0  # of a cable's name, at 11 px
COLUMNS = 3
SWEEPS = 6


@dataclass(frozen=True, slots=True)
class Box:
    x: float
    y: float
    width: float
    height: float

    def overlaps(self, other: Box) -> bool:
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )

    def moved(self, x: float, y: float) -> Box:
        return Box(self.x + x, self.y + y, self.width, self.height)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A cable: the points it passes, from its source to its target, and the box of its name."""

    cable: Cable
    points: tuple[tuple[float, float], ...]
    label: Box | None


@dataclass(slots=True)
class Layout:
    width: float
    height: float
    boxes: dict[str, Box] = field(default_factory=dict)
    drawn: list[Drawn] = field(default_factory=list)


def lay_out(graph: Graph, columns: int = COLUMNS) -> Layout:
    """Everything on one sheet, `columns` stations wide where the cables allow it."""
    parts = [_Part(graph, members, columns).lay_out() for members in components(graph)]
    limit = columns * WIDTH + (columns - 1) * GAP
    sheet = Layout(0, MARGIN)
    x = shelf = 0.0
    for part in parts:
        if x and x + part.width > limit:
            x, sheet.height = 0.0, sheet.height + shelf + GAP
            shelf = 0.0
        _place(part, sheet, MARGIN + x, sheet.height)
        sheet.width = max(sheet.width, x + part.width)
        x, shelf = x + part.width + GAP, max(shelf, part.height)
    sheet.width, sheet.height = sheet.width + 2 * MARGIN, sheet.height + shelf + MARGIN
    return sheet


def _place(part: Layout, sheet: Layout, x: float, y: float) -> None:
    sheet.boxes.update({name: box.moved(x, y) for name, box in part.boxes.items()})
    for drawn in part.drawn:
        points = tuple((px + x, py + y) for px, py in drawn.points)
        label = drawn.label.moved(x, y) if drawn.label else None
        sheet.drawn.append(Drawn(drawn.cable, points, label))


class _Part:
    """One connected part of the path. A slot of a row is a station's id or (cable, row)."""

    def __init__(self, graph: Graph, members: set[str], columns: int) -> None:
        self.graph = graph
        self.columns = columns
        self.edges = [edge for edge in directed(graph) if edge[0] in members]
        self.partner = {
            a: b for left, right in graph.pairs for a, b in ((left, right), (right, left))
        }
        in_order = [station.id for station in graph.stations if station.id in members]
        self.rows: list[list[str]] = []
        for layer in ordered(graph.layers, in_order):
            self.rows += self._split(layer)
        self.row_of = {name: row for row, names in enumerate(self.rows) for name in names}
        self._add_lanes()
        self._lessen_crossings()

    def _split(self, layer: list[str]) -> list[list[str]]:
        """Rows of at most `columns` stations; the two of a stereo pair stay together."""
        rows: list[list[str]] = []
        placed: set[str] = set()
        for name in layer:
            if name in placed:
                continue
            together = [name, self.partner[name]] if self.partner.get(name) in layer else [name]
            if not rows or len(rows[-1]) + len(together) > self.columns:
                rows.append([])
            rows[-1] += together
            placed.update(together)
        return rows

    def _add_lanes(self) -> None:
        """A cable that passes a row takes a lane there."""
        self.ways: list[tuple[Cable, list[str]]] = []
        for upper, lower, cable in self.edges:
            way = [upper]
            for row in range(self.row_of[upper] + 1, self.row_of[lower]):
                lane = f"{cable.id}@{row}"
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
            place = self._middles()
            for row in rows:
                row.sort(key=lambda name: self._pull(name, near, place))
                self._unite_pairs(row)
                place.update(self._middles_of(row))

    def _pull(self, name: str, near: dict[str, list[str]], place: dict[str, float]) -> float:
        """The mean place of what it hangs on; of a pair, that of both."""
        names = [name, self.partner[name]] if self.partner.get(name) in place else [name]
        found = [place[other] for one in names for other in near[one]]
        return sum(found) / len(found) if found else place[name]

    def _unite_pairs(self, row: list[str]) -> None:
        for name in list(row):
            other = self.partner.get(name)
            if other in row and (name, other) in self.graph.pairs:
                row.remove(other)
                row.insert(row.index(name) + 1, other)

    def _middles(self) -> dict[str, float]:
        return {name: x for row in self.rows for name, x in self._middles_of(row).items()}

    def _middles_of(self, row: list[str]) -> dict[str, float]:
        """Where the middle of each slot is, the row's own middle being 0."""
        x = -self._width(row) / 2
        found = {}
        for name in row:
            width = self._slot(name)
            found[name] = x + width / 2
            x += width + GAP
        return found

    def _slot(self, name: str) -> float:
        return LANE if "@" in name else WIDTH

    def _width(self, row: list[str]) -> float:
        return sum(self._slot(name) for name in row) + GAP * (len(row) - 1)

    def lay_out(self) -> Layout:
        names = [self._name_width(cable) for cable, _ in self.ways]
        width = max([*(self._width(row) for row in self.rows), *names])
        self.middle = {name: width / 2 + x for name, x in self._middles().items()}
        ports = self._ports()
        labels, lanes = self._labels(ports, width)
        tops = self._tops(lanes)
        sheet = Layout(width, tops[-1] + HEIGHT)
        sheet.boxes = {
            name: Box(self.middle[name] - WIDTH / 2, tops[row], WIDTH, HEIGHT)
            for row, slots in enumerate(self.rows) for name in slots if "@" not in name
        }  # fmt: skip
        sheet.drawn = [self._drawn(n, ports, labels, tops, width) for n in range(len(self.ways))]
        return sheet

    @staticmethod
    def _name_width(cable: Cable) -> float:
        return width_of(cable.label) * PER_COLUMN + 8 if cable.label else 0.0

    def _ports(self) -> list[list[float]]:
        """Where each cable crosses each row on its way; at a station, spread along its edge."""
        xs = [[self.middle[name] for name in way] for _, way in self.ways]
        for end, beside in ((0, 1), (-1, -2)):
            by_station: dict[str, list[int]] = defaultdict(list)
            for n, (_, way) in enumerate(self.ways):
                by_station[way[end]].append(n)
            for name, cables in by_station.items():
                cables.sort(key=lambda n: xs[n][beside])
                step = (WIDTH - 24) / (len(cables) + 1)
                for place, n in enumerate(cables):
                    xs[n][end] = self.middle[name] - WIDTH / 2 + 12 + step * (place + 1)
        return xs

    def _labels(
        self, ports: list[list[float]], width: float
    ) -> tuple[dict[int, tuple[int, float, int]], list[int]]:
        """For each named cable: the gap (row above it), the middle of its name, and its line;
        and how many lines of names each gap needs."""
        wanted = defaultdict(list)
        outs: dict[str, int] = defaultdict(int)
        for _, way in self.ways:
            outs[way[0]] += 1
        for n, (cable, way) in enumerate(self.ways):
            if cable.label:
                # Beside the end where fewer cables meet.
                at = len(way) - 2 if outs[way[0]] > 1 else 0
                middle = (ports[n][at] + ports[n][at + 1]) / 2
                half = self._name_width(cable) / 2
                middle = min(max(middle, half), width - half)
                wanted[self.row_of[way[at]]].append((middle - half, middle + half, n))
        found, lines = {}, [0] * len(self.rows)
        for gap, spans in wanted.items():
            ends: list[float] = []
            for start, end, n in sorted(spans):
                line = next((i for i, taken in enumerate(ends) if taken + 4 <= start), len(ends))
                ends[line : line + 1] = [end]
                found[n] = (gap, (start + end) / 2, line)
            lines[gap] = len(ends)
        return found, lines

    def _tops(self, lines: Sequence[int]) -> list[float]:
        tops = [0.0]
        for count in lines[:-1]:
            tops.append(tops[-1] + HEIGHT + ROW_GAP + LABEL_HEIGHT * count)
        return tops

    def _drawn(
        self, n: int, ports: list[list[float]], labels: dict[int, tuple[int, float, int]],
        tops: list[float], width: float,
    ) -> Drawn:  # fmt: skip
        cable, way = self.ways[n]
        points: list[tuple[float, float]] = []
        label = None
        for at, name in enumerate(way):
            row, x = self.row_of[name], ports[n][at]
            if at > 0:
                points.append((x, tops[row]))
            if at < len(way) - 1:
                points.append((x, tops[row] + HEIGHT))
                if n in labels and labels[n][0] == row:
                    label = self._label_box(cable, labels[n], tops[row] + HEIGHT)
                    points.append((labels[n][1], label.y + label.height / 2))
        turned = cable.id in self.graph.back
        return Drawn(cable, tuple(points[::-1] if turned else points), label)

    def _label_box(self, cable: Cable, where: tuple[int, float, int], top: float) -> Box:
        _, middle, line = where
        width = self._name_width(cable)
        return Box(
            middle - width / 2, top + ROW_GAP / 2 + LABEL_HEIGHT * line + 1, width, LABEL_HEIGHT - 2
        )
