"""Template tags that draw: dials, the signal path, where a microphone stands.

Each drawing stands in a partial that says the same in words, so the drawing itself is hidden from
screen readers. Link `rigs/drawing.css` on the page.
"""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from rigs.changes.played import Played
from rigs.drawing import dials as drawn
from rigs.drawing import path, placement
from rigs.drawing import pins as pinned
from rigs.drawing.kit import kit_of
from rigs.drawing.kit_plan import kit_plan as drawn_plan
from rigs.drawing.layout import COLUMNS
from rigs.photos.pin_forms import PinForm
from rigs.plot.drawing import stage_plot as drawn_stage
from rigs.plot.things import StagePlot
from rigs.wording import ControlView, InputView, PhotoView, RigView, UnitView

register = template.Library()

# Stations side by side on a phone, where three could not be read.
PHONE_COLUMNS = 2


@register.inclusion_tag("rigs/drawing/_dials.html")
def dials(unit: UnitView, only_changed: bool = False, only_set: bool = False) -> dict[str, Any]:
    """{% dials unit %}: every control at its setting, the changed ones marked.

    With `only_set`, those without a setting are named below the rest and not drawn.
    """
    shown = [c for c in unit.controls if c.changed] if only_changed else list(unit.controls)
    unset = [c for c in shown if only_set and not c.text and not c.changed]
    return {"unit": unit, "controls": [c for c in shown if c not in unset], "unset": unset}


@register.simple_tag
def dial(control: ControlView) -> SafeString:
    """{% dial control %}: the bare drawing of one control."""
    return _safe(drawn.dial(control, decoration=True))


@register.filter
def earlier(control: ControlView) -> str:
    """“was 1:00”, or “new”."""
    return drawn.earlier(control)


@register.inclusion_tag("rigs/drawing/_path.html", takes_context=True)
def signal_path(
    context: Context, rig_view: RigView, linked: bool = False, stands: Played | None = None
) -> dict[str, Any]:
    """{% signal_path rig_view %}; `linked` makes the stations lead to their pages, and `stands`
    says in which scenes the rig is drawn."""
    links = _addresses(context["production"].pk, rig_view) if linked else {}
    out = stands.bypassed if stands else frozenset()
    narrow, wide = (
        path.signal_path(
            rig_view, columns=columns, decoration=not linked, links=links, bypassed=out
        )
        for columns in (PHONE_COLUMNS, COLUMNS)
    )
    return {
        "drawing": _safe(wide),
        # A short path is the same in both widths, and is not sent twice.
        "narrow": _safe(narrow) if narrow != wide else "",
        "sentences": path.sentences(rig_view, out),
        "findings": path.findings(rig_view),
    }


def _addresses(production: Any, view: RigView) -> dict[str, str]:
    units = {u.id: reverse("rigs:unit", args=[production, view.id, u.id]) for u in view.units}
    inputs = {i.id: reverse("rigs:input", args=[production, view.id, i.id]) for i in view.inputs}
    return units | inputs


@register.inclusion_tag("rigs/drawing/_placement.html")
def placement_sketch(input: InputView) -> dict[str, Any]:  # noqa: A002 - the word of the trade
    """{% placement_sketch input %}: nothing for an input that is no microphone."""
    place = placement.placed(input)
    return {
        "views": [_safe(view) for view in placement.placement_views(input)],
        "measured": placement.measured(input),
        "problem": place.problem,
        "to_scale": place.out is not None,
        "input": input,
    }


@register.inclusion_tag("rigs/drawing/_kit.html")
def kit_plan(view: RigView) -> dict[str, Any]:
    """{% kit_plan view %}: a drum kit from above, to scale, and what was not measured."""
    kit = kit_of(view)
    return {"kit": kit, "drawing": _safe(drawn_plan(kit, name=view.name, decoration=True))}


@register.simple_tag
def stage_plot(plot: StagePlot, movable: bool = False) -> SafeString:
    """{% stage_plot plot movable=True %}: the stage from above, to scale. Link `rigs/plot.css`."""
    return _safe(drawn_stage(plot, movable=movable, decoration=not movable))


@register.inclusion_tag("rigs/photos/_photos.html", takes_context=True)
def photos(context: Context, photos: list[PhotoView], about: str = "") -> dict[str, Any]:
    """{% photos unit.photos about=unit.id %}: with captions and the way to add more."""
    # On a page of the past, photos lead to that state and not to today’s.
    past = context["revision"].number if context.get("past") else None
    return {
        "photos": photos,
        "about": about,
        "production": context["production"],
        "rig": context["rig"],
        "may": context.get("may"),
        "past": past,
    }


@register.simple_tag
def pins_and_draft(shown: PhotoView, form: PinForm) -> SafeString:
    """{% pins_and_draft shown form %}: the other pins, and the one that `form` is placing.

    Where somebody else moved the same pin meanwhile both spots are shown.
    """
    own = str(form.row.pk)
    known = next((pin.number for pin in shown.pins if pin.id == own), len(shown.pins) + 1)
    others = [pin for pin in shown.pins if pin.id != own or form.is_disputed]
    return _safe(pinned.layer(shown, others, draft=pinned.PinDraft(known, *form.spot)))


@register.inclusion_tag("rigs/photos/_seen_on.html", takes_context=True)
def seen_on(context: Context, thing: UnitView | InputView) -> dict[str, Any]:
    """{% seen_on unit %}: the pins at it, and at its controls, on photos of the rig."""
    things = [(thing.label if isinstance(thing, InputView) else thing.name, thing.seen_on)]
    if isinstance(thing, UnitView):
        things += [(control.name, control.seen_on) for control in thing.controls]
    places = [
        {"name": name, "photo": p.photo, "photo_name": p.photo_name, "number": p.number}
        for name, seen in things
        for p in seen
    ]
    return {"places": places, "production": context["production"], "rig": context["rig"]}


def _safe(drawing: str) -> SafeString:
    # rigs.drawing.svg escapes every word and attribute it writes.
    return mark_safe(drawing)  # noqa: S308
