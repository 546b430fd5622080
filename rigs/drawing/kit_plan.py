"""The plan of a kit to scale, with names and distances where nothing is drawn across them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from core.languages.words import leading, number
from rigs.checks.figures import listed
from rigs.drawing.kit import Drum, Kit, Mic
from rigs.drawing.labels import free_box
from rigs.drawing.layout import Box
from rigs.drawing.svg import Node, fit, group, node, picture, text, width_of

WIDTH, MOST_HEIGHT, LEAST_HEIGHT = 344.0, 420.0, 200.0
EDGE = 40.0  # room round the kit for names
TOP, BOTTOM = 20.0, 44.0  # which way the audience is; the drummer and the scale
SIZE, LINE, PER_COLUMN = 11.0, 15.0, 6.2  # of a label: type, height, width of a column
POINT = 4.0  # half of a microphone's mark
UNKNOWN = 14.0  # drawn radius of what states no diameter: dashed, and not to scale
NAME_COLUMNS = 16
_RINGS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


@dataclass(frozen=True, slots=True)
class Label:
    """Words in a box; `x`, `y` is what they belong to."""

    words: str
    box: Box
    x: float
    y: float
    class_: str


@dataclass(slots=True)
class Sheet:
    """Where everything is, in drawn units; `scale` of them to the metre."""

    scale: float
    zero: tuple[float, float]  # the snare's centre
    height: float
    labels: list[Label] = field(default_factory=list)
    marks: list[Box] = field(default_factory=list)

    def at(self, right: float, front: float) -> tuple[float, float]:
        return self.zero[0] + right * self.scale, self.zero[1] - front * self.scale


def lay_out(kit: Kit) -> Sheet:
    """The plan with a box for each label; no two of them overlap, and none lies on a mark."""
    left, right, back, front = _extent(kit)
    scale = min((WIDTH - 2 * EDGE) / (right - left), (MOST_HEIGHT - 2 * EDGE) / (front - back))
    height = max(LEAST_HEIGHT, (front - back) * scale + 2 * EDGE)
    x = WIDTH / 2 - (left + right) / 2 * scale
    y = TOP + height / 2 + (front + back) / 2 * scale
    sheet = Sheet(scale, (x, y), height)
    sheet.marks = [_mark(*sheet.at(mic.right, mic.front)) for mic in kit.mics]
    # No label may cover the snare's centre, from which everything is measured.
    sheet.marks.append(_mark(*sheet.zero))
    for words, px, py, class_ in _labels(kit, sheet):
        sheet.labels.append(_placed(sheet, words, px, py, class_))
    return sheet


def _extent(kit: Kit) -> tuple[float, float, float, float]:
    """Left, right, back, front in metres; at least half a metre each way."""
    rights, fronts = [-0.25, 0.25], [-0.25, 0.25]
    for drum in kit.drums:
        wide, long = drum.size or (0.0, 0.0)
        rights += [drum.right - wide / 2, drum.right + wide / 2]
        fronts += [drum.front - long / 2, drum.front + long / 2]
    for mic in kit.mics:
        rights.append(mic.right)
        fronts.append(mic.front)
    return min(rights), max(rights), min(fronts), max(fronts)


def _mark(x: float, y: float) -> Box:
    return Box(x - POINT, y - POINT, 2 * POINT, 2 * POINT)


def _labels(kit: Kit, sheet: Sheet) -> Iterator[tuple[str, float, float, str]]:
    """Microphones first: their labels stand nearest to what they belong to."""
    for mic in kit.mics:
        yield label_of(mic), *sheet.at(mic.right, mic.front), "kit-mic-name"
    for drum in kit.drums:
        yield fit(drum.unit.name, NAME_COLUMNS), *sheet.at(drum.right, drum.front), "kit-drum-name"


def label_of(mic: Mic) -> str:
    """“5 1.02 m”: its key, and how far it is from the snare's centre in plan."""
    return leading(mic.key, mic.short_plan)


def _placed(sheet: Sheet, words: str, x: float, y: float, class_: str) -> Label:
    """Beside its point, the nearest place that is free; below the plan where none is."""
    width = width_of(words) * PER_COLUMN + 6
    box = free_box(
        x,
        y,
        (width, LINE),
        inside=Box(0, TOP, WIDTH, sheet.height),
        taken=[*sheet.marks, *(label.box for label in sheet.labels)],
        clear=POINT,
        centre_first=class_ == "kit-drum-name",
    )
    return Label(words, box, x, y, class_) if box else _below(sheet, words, width, x, y, class_)


def _below(sheet: Sheet, words: str, width: float, x: float, y: float, class_: str) -> Label:
    """A row of its own under the plan, which grows by it."""
    box = Box(WIDTH / 2 - width / 2, TOP + sheet.height + 1, width, LINE)
    sheet.height += LINE + 2
    return Label(words, box, x, y, class_)


def kit_plan(kit: Kit, *, name: str = "", decoration: bool = False) -> str:
    """The plan as one picture; empty where nothing was measured.

    `decoration` where a table beside it says the same.
    """
    if not kit.is_drawn:
        return ""
    sheet = lay_out(kit)
    drawn = [
        *_frame(sheet),
        *_rings(sheet, kit),
        *(_drum(drum, sheet) for drum in kit.drums),
        *(_leader(label) for label in sheet.labels),
        *_snare_centre(sheet),
        *(_mic(mic, sheet) for mic in kit.mics),
        *(_label(label) for label in sheet.labels),
    ]
    return picture(
        WIDTH,
        TOP + sheet.height + BOTTOM,
        drawn,
        title=_("Plan of {kit} from above").format(kit=name or _("the kit")),
        desc=" ".join(described(kit)),
        class_="drawing kit-plan",
        decoration=decoration,
    ).render()


def described(kit: Kit) -> list[str]:
    """The plan in sentences."""
    sentences = [_place(mic) for mic in kit.mics]
    if kit.lacking:
        sentences.append(_("Not measured: {names}.").format(names=listed(kit.lacking)))
    return [*sentences, *kit.pairs, *kit.problems]


def _place(mic: Mic) -> str:
    words = (
        _("{mic} ({key}): {right}, {front} of the snare’s centre, {plan} in plan, {tape} straight.")
        if mic.tape_text
        else _("{mic} ({key}): {right}, {front} of the snare’s centre, {plan} in plan.")
    )
    return words.format(
        mic=mic.entry.label,
        key=mic.key,
        right=mic.right_text,
        front=mic.front_text,
        plan=mic.plan_text,
        tape=mic.tape_text,
    )


def _frame(sheet: Sheet) -> Iterator[Node]:
    yield text(_("to the audience ↑"), WIDTH / 2, 13, size=SIZE, class_="kit-way")
    # The drummer faces the audience: their left is stage left, on the left of this sheet.
    yield text(_("← stage left"), 4, 13, size=SIZE, text_anchor="start", class_="kit-way")
    yield text(_("stage right →"), WIDTH - 4, 13, size=SIZE, text_anchor="end", class_="kit-way")
    base = TOP + sheet.height
    yield text(_("drummer’s side"), WIDTH / 2, base + 12, size=SIZE, class_="kit-way")


def _ring_step(sheet: Sheet) -> float:
    # The smallest round distance at which rings are 36 units apart, so that they can be told apart.
    return next((step for step in _RINGS if step * sheet.scale >= 36), _RINGS[-1])


def _rings(sheet: Sheet, kit: Kit) -> Iterator[Node]:
    """Circles round the snare's centre at round distances, and what their step is."""
    step = _ring_step(sheet)
    left, right, back, front = _extent(kit)
    reach = max(math.hypot(a, b) for a in (left, right) for b in (back, front))
    x, y = sheet.zero
    for n in range(1, min(12, math.ceil(reach / step)) + 1):
        yield node(
            "circle",
            cx=x,
            cy=y,
            r=n * step * sheet.scale,
            fill="none",
            stroke="currentColor",
            stroke_width=0.75,
            stroke_dasharray="1 5",
            class_="kit-ring",
        )
    base, length = TOP + sheet.height + 32, step * sheet.scale
    start = WIDTH / 2 - length / 2
    yield node(
        "path",
        d=f"M{start:.2f} {base - 4:g}v8m0 -4h{length:.2f}m0 -4v8",
        fill="none",
        stroke="currentColor",
        stroke_width=1.25,
        class_="placement-scale",
    )
    words = f"{step * 100:g} cm" if step < 1 else f"{number(step)} m"
    yield text(
        _("{length}, as are the rings").format(length=words),
        start - 6,
        base + 4,
        size=SIZE,
        text_anchor="end",
        class_="placement-measure",
    )


def _drum(drum: Drum, sheet: Sheet) -> Node:
    name = drum.unit.name
    return group(
        node("title", name if drum.size else _("{drum}: its size is not stated").format(drum=name)),
        _outline(drum, sheet),
    )


def _outline(drum: Drum, sheet: Sheet) -> Node:
    x, y = sheet.at(drum.right, drum.front)
    cymbal = not drum.unit.traits.drum_heads
    look: dict[str, str | float | None] = {
        "fill": "none",
        "stroke": "currentColor",
        "stroke_width": 1.0 if cymbal else 1.75,
        "class_": "kit-cymbal" if cymbal else "kit-drum",
        "stroke_dasharray": "2 3" if drum.size is None else "6 3" if cymbal else None,
    }
    if drum.size is None:
        return node("circle", cx=x, cy=y, r=UNKNOWN, **look)
    wide, long = drum.size[0] * sheet.scale, drum.size[1] * sheet.scale
    if drum.lies:
        corner = {"x": x - wide / 2, "y": y - long / 2}
        return node("rect", **corner, width=wide, height=long, rx=3, **look)
    return node("circle", cx=x, cy=y, r=wide / 2, **look)


def _snare_centre(sheet: Sheet) -> Iterable[Node]:
    x, y = sheet.zero
    yield node(
        "path",
        d=f"M{x - 5:.2f} {y:.2f}h10M{x:.2f} {y - 5:.2f}v10",
        fill="none",
        stroke="currentColor",
        stroke_width=2,
        class_="kit-zero",
    )


def _mic(mic: Mic, sheet: Sheet) -> Node:
    x, y = sheet.at(mic.right, mic.front)
    return group(
        node(
            "title",
            _("{mic}, {plan} from the snare’s centre in plan").format(
                mic=mic.entry.label, plan=mic.plan_text
            ),
        ),
        node("circle", cx=x, cy=y, r=POINT, fill="currentColor", class_="kit-mic"),
    )


def _leader(label: Label) -> Node:
    """The line that leads from the words to what they belong to."""
    box = label.box
    x = min(max(label.x, box.x), box.x + box.width)
    y = min(max(label.y, box.y), box.y + box.height)
    return node(
        "line",
        x1=label.x,
        y1=label.y,
        x2=x,
        y2=y,
        stroke="currentColor",
        stroke_width=0.75,
        class_="kit-leader",
    )


def _label(label: Label) -> Node:
    box = label.box
    return text(
        label.words,
        box.x + box.width / 2,
        box.y + 11,
        size=SIZE,
        class_=label.class_,
        # White around the letters on paper; drawing.css has the ground of the page there.
        stroke="#fff",
        stroke_width=3,
        paint_order="stroke",
    )
