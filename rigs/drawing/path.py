"""The signal path drawn: from the instrument to the speaker and to each input."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from django.utils.translation import gettext as _

from core.languages.words import leading
from rigs.drawing.graph import Graph, Station, described, graph_of
from rigs.drawing.layout import HEIGHT, LINE, MARGIN, Box, DrawnCable, Layout, lay_out
from rigs.drawing.rows import WIDTH
from rigs.drawing.svg import Node, fit, group, node, picture, text, wrap
from rigs.wording.views import RigView

UNIT_COLUMNS, INPUT_COLUMNS = 20, 19  # of a station's name at 13 px
NOTE_COLUMNS = 24  # of its note at 11 px
ARROW = 5.0
SCALE = 1.2  # drawn pixels, so that names are about as large as the text of a page


def signal_path(
    view: RigView,
    *,
    columns: int = 3,
    decoration: bool = False,
    links: Mapping[str, str] | None = None,
    bypassed: Collection[str] = (),
) -> str:
    """The path as one picture. `links`: address of a unit's or input's page, by its id.

    `bypassed` are ids of units that a scene leaves out: they are dashed, and say so.
    Empty for a rig without units and inputs. `decoration` where `sentences` stand beside it.
    """
    graph = graph_of(view, bypassed)
    if not graph.stations:
        return ""
    layout = lay_out(graph, columns)
    drawn = [
        *_pair_marks(graph, layout),
        *(_cable(graph, drawn) for drawn in layout.drawn),
        *(_name(drawn) for drawn in layout.drawn if drawn.label),
        *(_station(s, layout.boxes[s.id], (links or {}).get(s.id, "")) for s in graph.stations),
    ]
    return picture(
        layout.width,
        layout.height,
        drawn,
        title=_("Signal path of {rig}").format(rig=view.name),
        desc=" ".join(described(graph)),
        class_="drawing path",
        decoration=decoration,
        scale=SCALE,
        role="group" if links else "img",
    ).render()


def sentences(view: RigView, bypassed: Collection[str] = ()) -> list[str]:
    """Every cable, pick-up and pair in words, and what is bypassed."""
    return described(graph_of(view, bypassed))


def findings(view: RigView) -> list[str]:
    """Loops and loose ends, in words. A loop may be meant: an effects loop is one."""
    return graph_of(view).findings


def _station(station: Station, box: Box, address: str) -> Node:
    whole = f"{station.name}, {station.note}" if station.note else station.name
    shape = node(
        "rect",
        x=box.x,
        y=box.y,
        width=box.width,
        height=box.height,
        rx=18 if station.is_input else 5,
        fill="none",
        stroke="currentColor",
        stroke_dasharray="6 4" if station.is_bypassed else "3 3" if station.is_gathered else None,
        class_=_class(station),
    )
    columns = INPUT_COLUMNS if station.is_input else UNIT_COLUMNS
    lines = [(line, 13, "path-name") for line in wrap(station.name, columns, 2)]
    if station.note:
        lines.append((fit(station.note, NOTE_COLUMNS), 11, "path-note"))
    middle = box.x + box.width / 2
    first = box.y + box.height / 2 + 4.5 - 7.5 * (len(lines) - 1)
    words = [
        text(line, middle, first + 15 * n, size=size, class_=kind)
        for n, (line, size, kind) in enumerate(lines)
    ]
    drawn = (node("title", whole), shape, *words)
    return node("a", *drawn, href=address, class_="path-link") if address else group(*drawn)


def _class(station: Station) -> str:
    if station.is_input or station.is_gathered:
        return "path-input" if station.is_input else "path-group"
    return "path-unit path-bypassed" if station.is_bypassed else "path-unit"


def _cable(graph: Graph, drawn: DrawnCable) -> Node:
    cable = drawn.cable
    turned = cable.id in graph.back
    kinds = ["path-cable", f"path-{cable.carries}" if cable.carries else "path-pickup"]
    if turned:
        kinds.append("path-loop")
    dashes = "2 4" if turned else "5 4" if cable.is_pickup else None
    names = graph.names
    ends = f"{names[cable.source]} → {names[cable.target]}"
    line = node(
        "path",
        d=_curve(drawn.points),
        class_=" ".join(kinds),
        fill="none",
        stroke="currentColor",
        stroke_width=2.5 if cable.carries == "speaker" else 1.5,
        stroke_dasharray=dashes,
    )
    return group(node("title", leading(ends, cable.name)), line, _arrow(drawn))


def _curve(points: tuple[tuple[float, float], ...]) -> str:
    """Straight down where a cable keeps its place, an even bend where it moves sideways."""
    x, y = points[0]
    steps = [f"M{x:.1f} {y:.1f}"]
    for to_x, to_y in points[1:]:
        if abs(to_x - x) < 0.05:
            steps.append(f"L{to_x:.1f} {to_y:.1f}")
        else:
            half = (y + to_y) / 2
            steps.append(f"C{x:.1f} {half:.1f} {to_x:.1f} {half:.1f} {to_x:.1f} {to_y:.1f}")
        x, y = to_x, to_y
    return "".join(steps)


def _arrow(drawn: DrawnCable) -> Node:
    (_, before), (x, y) = drawn.points[-2:]
    up = -ARROW if y > before else ARROW
    return node(
        "path",
        d=f"M{x:.1f} {y:.1f}l{-ARROW * 0.8:g} {up * 1.4:g}h{ARROW * 1.6:g}z",
        class_="path-arrow",
        fill="currentColor",
    )


def _name(drawn: DrawnCable) -> Node:
    box = drawn.label
    assert box is not None  # noqa: S101 - asked for named cables only
    return group(
        node("title", drawn.cable.name),
        node(
            "rect",
            x=box.x,
            y=box.y,
            width=box.width,
            height=box.height,
            fill="#fff",
            class_="path-label",
        ),
        *(
            text(
                line,
                box.x + box.width / 2,
                box.y + 11 + LINE * n,
                size=11,
                class_="path-cable-name",
            )
            for n, line in enumerate(drawn.cable.label)
        ),
    )


def _pair_marks(graph: Graph, layout: Layout) -> Iterator[Node]:
    """An outline round the two of a stereo pair that stand side by side."""
    for left, right in graph.pairs:
        a, b = layout.boxes[left], layout.boxes[right]
        if a.y == b.y and a.x < b.x < a.x + 2 * WIDTH:
            yield group(
                node(
                    "title",
                    _("Stereo pair: {left}, {right}").format(
                        left=graph.names[left], right=graph.names[right]
                    ),
                ),
                node(
                    "rect",
                    x=a.x - MARGIN / 2,
                    y=a.y - MARGIN / 2,
                    height=HEIGHT + MARGIN,
                    width=b.x + WIDTH - a.x + MARGIN,
                    rx=9,
                    fill="none",
                    stroke="currentColor",
                    stroke_dasharray="1 3",
                    stroke_linecap="round",
                    class_="path-pair",
                ),
            )
