"""Controls drawn at their settings: knobs, switches, choices, windows with a value.

Angles are degrees clockwise from straight up (rigs.settings_of_controls). A control that changed
has its old pointer dashed behind the new one, the way it went drawn along the scale, and a
diamond, so that no meaning depends on colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from core.languages.words import apart
from rigs.drawing.svg import Node, fit, group, node, picture, text, wrap
from rigs.settings_of_controls import START_DEG, SWEEP_DEG, Style
from rigs.wording.unit_views import ControlView, UnitView

SIZE = 72.0
CENTRE = SIZE / 2
KNOB, SCALE, TIP, HUB = 20.0, 28.0, 17.0, 5.0
GHOST_TIP = 26.0  # beyond the knob, so that a small turn does not hide the old pointer
MOST_STEPS = 7  # of a switch; with more, the choice is written in a window


def point(angle: float, radius: float) -> tuple[float, float]:
    """Where `angle` meets a circle of `radius` about the centre of the face; y grows downwards."""
    turn = math.radians(angle)
    return CENTRE + radius * math.sin(turn), CENTRE - radius * math.cos(turn)


def alternative(control: ControlView) -> str:
    """What the drawing says, in words: “Gain: 2:30 (was 1:00)”."""
    named = {"control": control.name, "setting": control.text or _("not set")}
    if not control.changed:
        return _("{control}: {setting}").format(**named)
    return _("{control}: {setting} ({earlier})").format(**named, earlier=earlier(control))


def earlier(control: ControlView) -> str:
    """“was 1:00”, or “new”, of a control that changed; “was 1:00 when signed” where it changed
    since then."""
    if control.was is None:
        return _("new since it was signed") if control.since_signed else pgettext("control", "new")
    words = _("was {setting} when signed") if control.since_signed else _("was {setting}")
    return words.format(setting=control.was_text or _("not set"))


def dial(control: ControlView, *, decoration: bool = False) -> str:
    """One control, 72 × 72, without its name. `decoration` where the words stand beside it."""
    drawn = picture(
        SIZE,
        SIZE,
        face(control),
        title=alternative(control),
        decoration=decoration,
        class_=f"drawing control-{_shape(control)}",
    )
    return drawn.render()


def face(control: ControlView) -> list[Node]:
    shape = _shape(control)
    drawn = {"knob": _knob, "switch": _switch, "window": _window}[shape](control)
    return [*drawn, _changed_mark()] if control.changed else drawn


def is_knob(control: ControlView) -> bool:
    """Whether its drawing shows what words do not: where a pointer stands."""
    return _shape(control) == "knob"


def _shape(control: ControlView) -> str:
    if control.style in (Style.CLOCK, Style.DIAL):
        return "knob"
    steps = len(control.choices)
    if control.style in (Style.SWITCH, Style.CHOICE) and 2 <= steps <= MOST_STEPS:
        return "switch" if control.setting in (*control.choices, "") else "window"
    return "window"


def _changed_mark() -> Node:
    return node(
        "path",
        d="M66 1l5 5-5 5-5-5z",
        class_="dial-changed",
        fill="currentColor",
        stroke="currentColor",
    )


def _knob(control: ControlView) -> list[Node]:
    end = START_DEG + SWEEP_DEG
    drawn = [_arc(START_DEG, end, SCALE, "dial-scale"), *_ticks(control)]
    drawn.append(
        node(
            "circle",
            cx=CENTRE,
            cy=CENTRE,
            r=KNOB,
            class_="dial-face",
            fill="none",
            stroke="currentColor",
            stroke_dasharray=None if control.setting else "3 3",
        )
    )
    if control.changed and control.was_angle is not None:
        drawn.append(_pointer(control.was_angle, "dial-ghost", 2.0, "3 2.5", tip=GHOST_TIP))
        if control.angle is not None and control.angle != control.was_angle:
            drawn.append(_arc(control.was_angle, control.angle, SCALE, "dial-moved"))
    if control.angle is not None:
        drawn.append(_pointer(control.angle, "dial-pointer", 4.0))
    else:
        drawn.append(text("?", CENTRE, CENTRE + 5, size=15, class_="dial-unset"))
    return drawn


def _pointer(
    angle: float, class_: str, width: float, dashes: str | None = None, tip: float = TIP
) -> Node:
    (x1, y1), (x2, y2) = point(angle, HUB), point(angle, tip)
    return node(
        "line",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        class_=class_,
        stroke="currentColor",
        stroke_width=width,
        stroke_linecap="round" if not dashes else None,
        stroke_dasharray=dashes,
    )


def _ticks(control: ControlView) -> Iterable[Node]:
    """Every hour of a clock dial, every tenth of a numbered one; the ends are longer."""
    for step in range(11):
        angle = START_DEG + SWEEP_DEG * step / 10
        (x1, y1), (x2, y2) = point(angle, SCALE), point(angle, SCALE + (5 if step % 5 == 0 else 3))
        yield node(
            "line",
            x1=x1,
            y1=y1,
            x2=x2,
            y2=y2,
            class_="dial-tick",
            stroke="currentColor",
            stroke_width=1.25,
        )


def _arc(start: float, end: float, radius: float, class_: str) -> Node:
    # Always clockwise along the scale, so that the arc never crosses the gap below it.
    low, high = sorted((start, end))
    (x1, y1), (x2, y2) = point(low, radius), point(high, radius)
    large = int(high - low > 180)
    return node(
        "path",
        d=f"M{x1:.2f} {y1:.2f}A{radius:g} {radius:g} 0 {large} 1 {x2:.2f} {y2:.2f}",
        class_=class_,
        fill="none",
        stroke="currentColor",
        stroke_width=3.5 if class_ == "dial-moved" else 1.25,
    )


def _switch(control: ControlView) -> list[Node]:
    """A slot with one place for each choice, the first at the bottom; a cap where it stands."""
    steps = len(control.choices)
    gap = 48 / (steps - 1)
    heights = {choice: 60 - gap * place for place, choice in enumerate(control.choices)}
    drawn = [_plate(control, x=29, y=5, width=14, height=62, rx=7)]
    drawn += [_switch_tick(y) for y in heights.values()]
    if control.changed and control.was in heights and control.was != control.setting:
        drawn.append(_switch_ghost(heights[control.was or ""]))
    if control.setting in heights:
        place = heights[control.setting]
        drawn.append(node("circle", cx=36, cy=place, r=6, class_="dial-cap", fill="currentColor"))
    else:
        drawn.append(text("?", CENTRE, CENTRE + 5, size=15, class_="dial-unset"))
    return drawn


def _switch_tick(y: float) -> Node:
    return node(
        "line",
        x1=47,
        y1=y,
        x2=52,
        y2=y,
        class_="dial-tick",
        stroke="currentColor",
        stroke_width=1.25,
    )


def _switch_ghost(y: float) -> Node:
    """Where the cap stood before."""
    return node(
        "circle",
        cx=36,
        cy=y,
        r=5,
        class_="dial-ghost",
        fill="none",
        stroke="currentColor",
        stroke_width=1.5,
        stroke_dasharray="2.5 2",
    )


def _plate(control: ControlView, **where: float) -> Node:
    dashes = None if control.setting else "3 3"
    return node(
        "rect",
        **where,
        class_="dial-face",
        fill="none",
        stroke="currentColor",
        stroke_dasharray=dashes,
    )


def _window(control: ControlView) -> list[Node]:
    """A window with the value; longer ones on two lines, and cut: the caption has it whole."""
    lines = wrap(control.text, 9) or ["?"]
    first = CENTRE + 4.5 - 7.5 * (len(lines) - 1)
    return [_plate(control, x=2, y=18, width=68, height=36, rx=5)] + [
        text(line, CENTRE, first + 15 * n, size=13, class_="dial-text")
        for n, line in enumerate(lines)
    ]


CELL, ROW_HEIGHT = 96.0, 122.0


def row(unit: UnitView, *, per_row: int = 6) -> str:
    """All controls of a unit with their names and settings as one picture, for paper."""
    controls = unit.controls
    columns = max(1, min(per_row, len(controls)))
    rows = -(-len(controls) // columns)
    cells = [
        _cell(control, CELL * (n % columns), ROW_HEIGHT * (n // columns))
        for n, control in enumerate(controls)
    ]
    alternatives = apart(alternative(control) for control in controls)
    drawn = picture(
        CELL * columns,
        max(ROW_HEIGHT * rows, 1.0),
        cells,
        title=_("Controls of {unit}").format(unit=unit.name),
        desc=alternatives or _("It has no controls."),
        class_="drawing dial-row",
    )
    return drawn.render()


def _cell(control: ControlView, x: float, y: float) -> Node:
    name = text(fit(control.name, 14), CELL / 2, SIZE + 18, size=12, class_="dial-name")
    setting = text(
        fit(control.text or _("not set"), 12),
        CELL / 2,
        SIZE + 34,
        size=12,
        font_weight="bold",
        class_="dial-value",
    )
    drawn = group(*face(control), transform=f"translate({(CELL - SIZE) / 2:g} 0)")
    was = [_was(control)] if control.changed else []
    return group(
        node("title", alternative(control)),
        drawn,
        name,
        setting,
        *was,
        transform=f"translate({x:g} {y:g})",
    )


def _was(control: ControlView) -> Node:
    """The earlier setting in words: on paper there may be no colour, and there are no tooltips."""
    note = (
        pgettext("control", "new")
        if control.was is None
        else _("was {setting}").format(setting=control.was_text or _("not set"))
    )
    return text(fit(note, 16), CELL / 2, SIZE + 46, size=11, font_style="italic", class_="dial-was")
