"""Lays out the stations and cables of a signal path in rows from top to bottom.

Between two rows lie, from above: names of cables at the end they leave from, a zone in which
cables move sideways, and names of cables at the end they arrive at. Names stand within the width
of their station and cables run straight past them, so that no cable runs through the name of
one it has no station in common with.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from rigs.drawing.graph import Cable, Graph, components
from rigs.drawing.rows import GAP, WIDTH, Rows
from rigs.drawing.svg import width_of

HEIGHT, MARGIN = 50.0, 8.0
STRAIGHT, BEND, PER_BEND, MOST_BEND = 12.0, 24.0, 2.0, 48.0  # height of the zone of bends
BELOW, ARROW_ROOM = 4.0, 10.0  # free at a station's lower and upper edge
LINE, PER_COLUMN = 13.0, 6.0  # of a cable's name, at 11 px
COLUMNS = 3
LANES = 60.0  # how much wider than its stations a sheet may get before they stand closer


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
class DrawnCable:
    """A cable: the points it passes, from its source to its target, and the box of its name."""

    cable: Cable
    points: tuple[tuple[float, float], ...]
    label: Box | None


@dataclass(slots=True)
class Layout:
    width: float
    height: float
    boxes: dict[str, Box] = field(default_factory=dict)
    drawn: list[DrawnCable] = field(default_factory=list)


def lay_out(graph: Graph, columns: int = COLUMNS) -> Layout:
    """Everything on one sheet, `columns` stations wide where the cables allow it."""
    limit = columns * WIDTH + (columns - 1) * GAP
    sheet = Layout(0, MARGIN)
    x = shelf = 0.0
    for members in components(graph):
        part = _narrow(graph, members, columns, limit + LANES)
        if x and x + part.width > limit:
            x, sheet.height = 0.0, sheet.height + shelf + GAP
            shelf = 0.0
        _place(part, sheet, MARGIN + x, sheet.height)
        sheet.width = max(sheet.width, x + part.width)
        x, shelf = x + part.width + GAP, max(shelf, part.height)
    sheet.width, sheet.height = sheet.width + 2 * MARGIN, sheet.height + shelf + MARGIN
    return sheet


def _narrow(graph: Graph, members: set[str], columns: int, limit: float) -> Layout:
    """As many stations side by side as leave room for the cables beside them."""
    best = _Part(Rows(graph, members, columns)).lay_out()
    for fewer in range(columns - 1, 0, -1):
        if best.width <= limit:
            break
        other = _Part(Rows(graph, members, fewer)).lay_out()
        best = min(best, other, key=lambda each: each.width)
    return best


def _place(part: Layout, sheet: Layout, x: float, y: float) -> None:
    sheet.boxes.update({name: box.moved(x, y) for name, box in part.boxes.items()})
    for drawn in part.drawn:
        points = tuple((px + x, py + y) for px, py in drawn.points)
        label = drawn.label.moved(x, y) if drawn.label else None
        sheet.drawn.append(DrawnCable(drawn.cable, points, label))


@dataclass(frozen=True, slots=True)
class _Label:
    """A name: at the upper or the lower end of its cable, how far from the station, and where."""

    upper_end: bool
    away: float
    middle: float


class _Part:
    """One connected part of the path, its left upper corner at 0, 0."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows
        self.width = max(rows.width(row) for row in rows.rows)
        self.middle = {name: self.width / 2 + x for name, x in rows.middles().items()}
        self.ports = self._ports()
        self.labels: dict[int, _Label] = {}
        self.room = [[0.0, 0.0] for _ in rows.rows]  # names below each row, and above it
        self._name()
        self.tops, self.bends = self._tops()

    def lay_out(self) -> Layout:
        sheet = Layout(self.width, self.tops[-1] + HEIGHT)
        sheet.boxes = {
            name: Box(self.middle[name] - WIDTH / 2, self.tops[row], WIDTH, HEIGHT)
            for row, slots in enumerate(self.rows.rows)
            for name in slots
            if name not in self.rows.lanes
        }
        sheet.drawn = [self._drawn(n) for n in range(len(self.rows.ways))]
        return sheet

    def _ports(self) -> list[list[float]]:
        """Where each cable crosses each row on its way; at a station, spread along its edge."""
        ways = [way for _, way in self.rows.ways]
        xs = [[self.middle[name] for name in way] for way in ways]
        self.count: list[list[int]] = [[0, 0] for _ in ways]  # cables at its upper, lower end
        for end, beside in ((0, 1), (-1, -2)):
            groups: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
            for n, way in enumerate(ways):
                # Cables that share a lane leave by one port; each arrives by its own.
                shared = end == 0 and way[1] in self.rows.lanes
                groups[way[end]][way[1] if shared else f"{n}"].append(n)
            for name, ports in groups.items():
                in_order = sorted(ports.values(), key=lambda group: xs[group[0]][beside])
                for place, group in enumerate(in_order):
                    for n in group:
                        share = WIDTH * (place + 0.5) / len(in_order)
                        xs[n][end] = self.middle[name] - WIDTH / 2 + share
                        self.count[n][0 if end == 0 else 1] = len(in_order)
        return xs

    def _name(self) -> None:
        """Each name at the end where fewer cables meet; stacked where wider than its share."""
        places: dict[tuple[str, bool], list[int]] = defaultdict(list)
        for n, (cable, way) in enumerate(self.rows.ways):
            if cable.label:
                upper, lower = self.count[n]
                at_upper = lower > upper and not self._shares_port(n)
                places[way[0 if at_upper else -1], at_upper].append(n)
        for (name, at_upper), cables in places.items():
            end = 0 if at_upper else -1
            cables.sort(key=lambda n: self.ports[n][end])
            share = WIDTH / self.count[cables[0]][0 if at_upper else 1]
            beside = all(label_width(self.rows.ways[n][0]) <= share - 2 for n in cables)
            away = 0.0
            for n in cables:
                half = label_width(self.rows.ways[n][0]) / 2
                left = self.middle[name] - WIDTH / 2
                middle = min(max(self.ports[n][end], left + half), left + WIDTH - half)
                self.labels[n] = _Label(at_upper, 0.0 if beside else away, middle)
                away += label_height(self.rows.ways[n][0])
            tallest = max(label_height(self.rows.ways[n][0]) for n in cables)
            row, side = self.rows.row_of[name], 0 if at_upper else 1
            self.room[row][side] = max(self.room[row][side], tallest if beside else away)

    def _shares_port(self, n: int) -> bool:
        return self.rows.ways[n][1][1] in self.rows.lanes

    def _tops(self) -> tuple[list[float], list[tuple[float, float]]]:
        """The upper edge of each row, and where the bends below it begin and end."""
        bent = [0] * len(self.rows.rows)
        for n, (_, way) in enumerate(self.rows.ways):
            for at, name in enumerate(way[:-1]):
                bent[self.rows.row_of[name]] += abs(self.ports[n][at] - self.ports[n][at + 1]) > 0.5
        tops, bends = [0.0], []
        for row in range(len(self.rows.rows) - 1):
            start = tops[-1] + HEIGHT + BELOW + self.room[row][0]
            high = min(BEND + PER_BEND * bent[row], MOST_BEND) if bent[row] else STRAIGHT
            bends.append((start, start + high))
            tops.append(start + high + self.room[row + 1][1] + ARROW_ROOM)
        return tops, bends

    def _drawn(self, n: int) -> DrawnCable:
        cable, way = self.rows.ways[n]
        points: list[tuple[float, float]] = []
        for at, name in enumerate(way):
            row, x = self.rows.row_of[name], self.ports[n][at]
            if at > 0:
                points += [(x, self.bends[row - 1][1]), (x, self.tops[row])]
            if at < len(way) - 1:
                points += [(x, self.tops[row] + HEIGHT), (x, self.bends[row][0])]
        turned = cable.id in self.rows.graph.back
        return DrawnCable(cable, tuple(points[::-1] if turned else points), self._label_box(n))

    def _label_box(self, n: int) -> Box | None:
        if n not in self.labels:
            return None
        (cable, way), label = self.rows.ways[n], self.labels[n]
        wide, high = label_width(cable), label_height(cable)
        if label.upper_end:
            y = self.tops[self.rows.row_of[way[0]]] + HEIGHT + BELOW + label.away
        else:
            y = self.tops[self.rows.row_of[way[-1]]] - ARROW_ROOM - label.away - high
        return Box(label.middle - wide / 2, y + 1, wide, high - 2)


def label_width(cable: Cable) -> float:
    return max((width_of(line) for line in cable.label), default=0) * PER_COLUMN + 6


def label_height(cable: Cable) -> float:
    return LINE * len(cable.label) + 4
