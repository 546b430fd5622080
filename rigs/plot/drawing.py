"""The stage from above as SVG, to scale, as the audience sees it. Pure.

The audience is at the foot of the sheet, so stage right is on its left. Every thing is a group that
is moved to its place; only that and the sizes depend on the scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import leading, number
from rigs.drawing.labels import free_box
from rigs.drawing.layout import Box
from rigs.drawing.svg import Node, fit, group, node, picture, text, width_of
from rigs.plot.carried import goes_along
from rigs.plot.things import StagePlot, Thing, What, bounds, reach

WIDTH, MOST_HEIGHT = 720.0, 620.0
EDGE, TOP, BOTTOM = 22.0, 40.0, 74.0  # room for names and sides; the scale and the legend
SIZE, LINE, PER_COLUMN = 11.0, 14.0, 6.2  # of a label: type, height, width of a column
LEGEND_ROW = 18.0
MARK = 6.0  # half of what states no size
NAME_COLUMNS = 20
ROUNDS = 9
_SCALES = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
RIGHT_SIDE, LEFT_SIDE = (
    gettext_lazy("← stage right (house left)"),
    gettext_lazy("stage left (house right) →"),
)
AUDIENCE = gettext_lazy("↓ audience · front edge of the stage")


@dataclass(frozen=True, slots=True)
class Label:
    words: str
    box: Box
    x: float
    y: float


@dataclass(slots=True)
class Sheet:
    """Where everything is, in drawn units; `scale` of them to the metre.

    `x`, `y` is where the centre line meets the front edge.
    """

    scale: float
    x: float
    y: float
    height: float  # down to the legend
    labels: list[Label] = field(default_factory=list)

    def at(self, right: float, up: float) -> tuple[float, float]:
        """As the audience sees it: what is to stage right is further left on the sheet."""
        return self.x - right * self.scale, self.y - up * self.scale


def lay_out(plot: StagePlot) -> Sheet:
    """The scale and the zero at which the stage and all that is placed fit, and the labels."""
    least, most, front, back = _extent(plot)
    scale = min((WIDTH - 2 * EDGE) / (most - least), MOST_HEIGHT / (back - front))
    middle = (least + most) / 2
    y = TOP + back * scale
    sheet = Sheet(scale, WIDTH / 2 + middle * scale, y, TOP + (back - front) * scale)
    marks = [_mark_box(sheet, thing) for thing in plot.placed if thing.what is not What.RISER]
    for thing in sorted(plot.placed, key=lambda each: _RANKS.index(each.what)):
        _place_label(sheet, thing, marks)
    return sheet


# Whose names come first get the better places.
_RANKS = (
    What.PLAYER,
    What.MAINS,
    What.BOX,
    What.MONITOR,
    What.UNIT,
    What.STAND,
    What.RISER,
    What.DRUM,
)


def _extent(plot: StagePlot) -> tuple[float, float, float, float]:
    """Least and most to stage right, least and most upstage: the stage, and what stands over it."""
    half = plot.width / 2
    all_bounds = [(-half, half, 0.0, plot.depth), *(bounds(thing) for thing in plot.placed)]
    return (
        min(each[0] for each in all_bounds),
        max(each[1] for each in all_bounds),
        min(each[2] for each in all_bounds),
        max(each[3] for each in all_bounds),
    )


def _spot(sheet: Sheet, thing: Thing) -> tuple[float, float]:
    assert thing.spot is not None  # noqa: S101 - only what is placed is drawn
    return sheet.at(*thing.spot.metres)


def _half(sheet: Sheet, thing: Thing) -> tuple[float, float]:
    """Half of its width and depth on the sheet."""
    if thing.size is None:
        return MARK, MARK
    wide, deep = thing.size.metres
    return wide * sheet.scale / 2, deep * sheet.scale / 2


def _reach(sheet: Sheet, thing: Thing) -> tuple[float, float]:
    """Half of what it takes on the sheet, as it is turned."""
    if thing.size is None:
        return MARK, MARK
    wide, deep = reach(thing)
    return wide * sheet.scale, deep * sheet.scale


def _mark_box(sheet: Sheet, thing: Thing) -> Box:
    x, y = _spot(sheet, thing)
    wide, deep = (max(MARK, min(each, 3 * MARK)) for each in _reach(sheet, thing))
    return Box(x - wide, y - deep, 2 * wide, 2 * deep)


def _place_label(sheet: Sheet, thing: Thing, marks: list[Box]) -> None:
    words = fit(thing.mark or thing.name, NAME_COLUMNS)
    x, y = _spot(sheet, thing)
    size = width_of(words) * PER_COLUMN + 4, LINE
    taken = [*marks, *(label.box for label in sheet.labels)]
    top = _name_of_riser(sheet, thing) if thing.what is What.RISER else y
    box = free_box(
        x,
        top,
        size,
        inside=Box(0, TOP, WIDTH, sheet.height - TOP + LINE),
        taken=taken,
        clear=0 if thing.what is What.RISER else MARK,
        centre_first=thing.what is What.RISER,
        rounds=ROUNDS,
    )
    # Where all is full the words stand on what they belong to, rather than nowhere.
    box = box or Box(x - size[0] / 2, y - LINE / 2, *size)
    sheet.labels.append(Label(words, box, x, top))


def _name_of_riser(sheet: Sheet, thing: Thing) -> float:
    """Along its back, where the fewest things stand."""
    _, y = _spot(sheet, thing)
    return y - _reach(sheet, thing)[1] + LINE / 2 + 2


def stage_plot(plot: StagePlot, *, movable: bool = False, decoration: bool = False) -> str:
    """The plot as one picture. `movable`: things can be taken hold of (plot.js)."""
    sheet = lay_out(plot)
    drawn = [
        *_stage(sheet, plot),
        *_runs(sheet, plot),
        *filter(None, map(_leader, sheet.labels)),
        *(_thing(sheet, thing, plot, movable=movable) for thing in _in_order(plot)),
        *(_label(label, thing) for label, thing in _labelled(sheet, plot)),
        *_scale_bar(sheet),
        *_legend(sheet, plot),
    ]
    more_rows = max((row for row, *_ in _legend_places(plot)), default=0)
    return picture(
        WIDTH,
        sheet.height + BOTTOM + LEGEND_ROW * more_rows,
        [group(*drawn, **_zero(sheet))],
        title=_("Stage plot from above, as the audience sees it: stage right is on the left"),
        class_="drawing stage-plot",
        decoration=decoration,
        role="group" if movable else "img",
    ).render()


def _zero(sheet: Sheet) -> dict[str, str]:
    """What plot.js needs to turn a place on the sheet into metres."""
    return {
        "data_scale": f"{sheet.scale:.4f}",
        "data_x": f"{sheet.x:.3f}",
        "data_y": f"{sheet.y:.3f}",
    }


def _in_order(plot: StagePlot) -> list[Thing]:
    order = list(What)
    return sorted(plot.placed, key=lambda thing: order.index(thing.what))


def _labelled(sheet: Sheet, plot: StagePlot) -> Iterator[tuple[Label, Thing]]:
    ranked = sorted(plot.placed, key=lambda each: _RANKS.index(each.what))
    return zip(sheet.labels, ranked, strict=True)


def _stage(sheet: Sheet, plot: StagePlot) -> Iterator[Node]:
    half = plot.width / 2
    left, top = sheet.at(half, plot.depth)
    yield node(
        "rect",
        x=left,
        y=top,
        width=plot.width * sheet.scale,
        height=plot.depth * sheet.scale,
        fill="none",
        stroke="currentColor",
        stroke_width=1.5,
        class_="plot-stage",
    )
    yield from _grid(sheet, plot)
    yield text(str(RIGHT_SIDE), EDGE, 16, size=12, text_anchor="start", class_="plot-side")
    yield text(_("upstage"), WIDTH / 2, 16, size=12, class_="plot-side")
    yield text(str(LEFT_SIDE), WIDTH - EDGE, 16, size=12, text_anchor="end", class_="plot-side")
    base = sheet.height + 16
    yield text(str(RIGHT_SIDE), EDGE, base, size=12, text_anchor="start", class_="plot-side")
    yield text(str(AUDIENCE), WIDTH / 2, base, size=12, class_="plot-side")
    yield text(str(LEFT_SIDE), WIDTH - EDGE, base, size=12, text_anchor="end", class_="plot-side")


def _grid(sheet: Sheet, plot: StagePlot) -> Iterator[Node]:
    """Lines at whole metres from the centre line and from the front edge; the centre stands out."""
    half, step = plot.width / 2, _grid_step(sheet)
    for n in range(-math.floor(half / step), math.floor(half / step) + 1):
        x, top = sheet.at(n * step, plot.depth)
        yield _line(x, top, x, sheet.y, "plot-centre" if n == 0 else "plot-grid")
    for n in range(1, math.ceil(plot.depth / step)):
        left, y = sheet.at(half, n * step)
        yield _line(left, y, left + plot.width * sheet.scale, y, "plot-grid")


def _grid_step(sheet: Sheet) -> float:
    return next((step for step in _SCALES if step >= 1 and step * sheet.scale >= 18), _SCALES[-1])


def _line(x1: float, y1: float, x2: float, y2: float, class_: str) -> Node:
    return node(
        "line",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        stroke="currentColor",
        stroke_width=0.8 if class_ == "plot-centre" else 0.4,
        stroke_dasharray="10 4 2 4" if class_ == "plot-centre" else "1 4",
        class_=class_,
    )


def _runs(sheet: Sheet, plot: StagePlot) -> Iterator[Node]:
    spots = {thing.key: _spot(sheet, thing) for thing in plot.placed}
    for source, target in plot.runs:
        if source in spots and target in spots:
            (x1, y1), (x2, y2) = spots[source], spots[target]
            yield node(
                "line",
                x1=x1,
                y1=y1,
                x2=x2,
                y2=y2,
                stroke="currentColor",
                stroke_width=1.25,
                stroke_dasharray="7 4",
                class_="plot-run",
            )


def _thing(sheet: Sheet, thing: Thing, plot: StagePlot, *, movable: bool) -> Node:
    x, y = _spot(sheet, thing)
    words = leading(thing.name, thing.place)
    half = _half(sheet, thing)
    shape = _shape(thing.what, *half, is_round=thing.round, is_sized=bool(thing.size))
    faces = movable and thing.turns or thing.faces is not None and thing.turns
    # What was never said is drawn as soon as it is, by plot.js.
    nib = [_nib(half[1], hidden=thing.faces is None)] if faces else []
    return group(
        node("title", words),
        shape,
        *nib,
        transform=f"translate({x:.2f} {y:.2f}){_rotation(thing)}",
        data_thing=thing.key,
        class_=f"plot-thing plot-{thing.what.name.lower()}{' plot-other' if thing.usual else ''}",
        **(_held(thing, plot, words) if movable else {}),
    )


def _rotation(thing: Thing) -> str:
    """Clockwise on the sheet: towards stage right, which is on its left, from downstage."""
    return f" rotate({thing.faces})" if thing.faces else ""


def _held(thing: Thing, plot: StagePlot, words: str) -> dict[str, str | int]:
    """For plot.js: what can be taken hold of, and what goes along with it."""
    if not thing.moves:
        return {}
    along = " ".join(each.key for each in goes_along(thing, plot))
    carries = {"data_carries": along} if along else {}
    return {"tabindex": 0, "role": "button", "aria_label": words, **carries}


def _nib(deep: float, *, hidden: bool = False) -> Node:
    """At the front of a thing, the way it faces."""
    return node(
        "path",
        d=f"M-4 {deep:.2f}L0 {deep + 6:.2f}L4 {deep:.2f}Z",
        fill="currentColor",
        stroke="none",
        class_="plot-nib",
        display="none" if hidden else None,
    )


def _shape(
    what: What, wide: float, deep: float, *, is_round: bool = False, is_sized: bool = True
) -> Node:
    """Round its own middle. What states no size is dashed, where its size would be drawn."""
    look: dict[str, str | float | None] = {"fill": "none", "stroke": "currentColor"}
    look["stroke_width"] = 1.75 if what in (What.UNIT, What.PLAYER, What.MONITOR) else 1.25
    if what in (What.UNIT, What.MONITOR) and not is_sized:
        look["stroke_dasharray"] = "3 2"
    if what is What.PLAYER:
        return node("circle", r=MARK + 1, **look)
    if what is What.STAND:
        path = f"M0 {-MARK:g}V{MARK:g}M{-MARK:g} 0H{MARK:g}"
        return node("path", d=path, **look)
    if what is What.MAINS:
        path = f"M0 {-MARK - 2:g}L{MARK + 2:g} {MARK:g}H{-MARK - 2:g}Z"
        return node("path", d=path, **look)
    if what is What.MONITOR:
        front = f"M{-wide:.2f} {deep:.2f}L{-wide / 2:.2f} {-deep:.2f}"
        path = f"{front}H{wide / 2:.2f}L{wide:.2f} {deep:.2f}Z"
        return node("path", d=path, **look)
    if is_round:
        return node("ellipse", rx=wide, ry=deep, **look)
    corners = {"x": -wide, "y": -deep, "width": 2 * wide, "height": 2 * deep}
    if what is What.BOX:
        look["fill"] = "currentColor"
    return node("rect", **corners, rx=0 if what is What.RISER else 2, **look)


def _leader(label: Label) -> Node | None:
    """The line from a thing to its name, where that stands further off."""
    box = label.box
    x = min(max(label.x, box.x), box.x + box.width)
    y = min(max(label.y, box.y), box.y + box.height)
    away = math.hypot(x - label.x, y - label.y)
    if away < 3 * MARK:
        return None  # close enough to be told apart without a line
    # From the rim of the mark on.
    part = MARK / away
    return node(
        "line",
        x1=label.x + (x - label.x) * part,
        y1=label.y + (y - label.y) * part,
        x2=x,
        y2=y,
        stroke="currentColor",
        stroke_width=0.6,
        class_="plot-leader",
    )


def _label(label: Label, thing: Thing) -> Node:
    return text(
        label.words,
        label.box.x + label.box.width / 2,
        label.box.y + 10.5,
        size=SIZE,
        class_=f"plot-name plot-name-{thing.what.name.lower()}",
        # White around the letters on paper; plot.css has the ground of the page there.
        stroke="#fff",
        stroke_width=3,
        paint_order="stroke",
        data_of=thing.key,
    )


def _scale_bar(sheet: Sheet) -> Iterator[Node]:
    metres = next((each for each in _SCALES if each * sheet.scale >= 50), _SCALES[-1])
    base, length = sheet.height + 38, metres * sheet.scale
    yield node(
        "path",
        d=f"M{EDGE:g} {base - 4:g}v8m0 -4h{length:.2f}m0 -4v8",
        fill="none",
        stroke="currentColor",
        stroke_width=1.25,
        class_="plot-scale",
    )
    words = _("{metres} m · grid {step} m from the centre line and the front edge").format(
        metres=number(metres), step=number(_grid_step(sheet))
    )
    yield text(
        words, EDGE + length + 8, base + 4, size=SIZE, text_anchor="start", class_="plot-side"
    )


def _legend(sheet: Sheet, plot: StagePlot) -> Iterator[Node]:
    """What the shapes mean, of those that are drawn; as many rows as it takes."""
    for row, x, shape, words in _legend_places(plot):
        y = sheet.height + 60 + row * LEGEND_ROW
        yield group(shape, transform=f"translate({x:.2f} {y:.2f})")
        yield text(words, x + 12, y + 4, size=SIZE, text_anchor="start", class_="plot-side")


def _legend_places(plot: StagePlot) -> Iterator[tuple[int, float, Node, str]]:
    """Row and place of each shape with its words."""
    row, x = 0, EDGE + 8
    for shape, words in _explained(plot):
        wide = 12 + width_of(words) * PER_COLUMN
        if x + wide > WIDTH - EDGE:
            row, x = row + 1, EDGE + 8
        yield row, x, shape, words
        x += wide + 18


def _explained(plot: StagePlot) -> Iterator[tuple[Node, str]]:
    there = {thing.what for thing in plot.placed}
    for what in What:
        if what in there:
            deep = MARK - 1 if what is What.RISER else MARK
            shape = _shape(what, MARK, deep, is_round=what is What.DRUM)
            yield group(shape, class_=f"plot-thing plot-{what.name.lower()}"), what.explained
    if any(thing.turns and thing.faces is not None for thing in plot.placed):
        yield group(_nib(-3), class_="plot-thing"), _("faces")
    if plot.runs:
        line = node(
            "line",
            x1=-6,
            y1=0,
            x2=8,
            y2=0,
            stroke="currentColor",
            stroke_dasharray="5 3",
            class_="plot-run",
        )
        yield line, pgettext("between two boxes", "run")
