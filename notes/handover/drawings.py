"""The drawings of a published handover (where microphones stand, the kit from above, pins), and the
small photos beside rigs and units.

Made at every reading from the revisions that the handover names. Those cannot change, so drawings
need no room in it, and handovers of every schema have them. Places of units, which older schemas do
not fix, come from there as well.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils.safestring import SafeString, mark_safe

from core.one_pass import once_a_pass
from notes.handover.content import rigs_of
from rigs.changes.edits import Snapshot
from rigs.drawing.kit import kit_of
from rigs.drawing.kit_plan import kit_plan
from rigs.drawing.pins import layer
from rigs.drawing.placement import placed, placement_views
from rigs.models import Rig
from rigs.revisions.many import as_of_many
from rigs.wording import InputView, PhotoView, RigView, UnitView, snapshot_views

Plain = dict[str, Any]


def views_of(content: Plain) -> dict[str, RigView]:
    """Each rig (by id) as it was at the revision published. Eight queries at most."""
    rigs, states = states_and_rigs(content)
    views = snapshot_views({rig: states[rig.pk] for rig in rigs})
    return {str(rig.pk): view for rig, view in views.items()}


def states_and_rigs(content: Plain) -> tuple[list[Rig], dict[UUID, Snapshot]]:
    """The rigs, and each (by id) as it was at the revision published. Three queries."""
    return _states_and_rigs({UUID(rig["id"]): rig["revision"] for rig in rigs_of(content)})


@once_a_pass
def _states_and_rigs(numbers: dict[UUID, int]) -> tuple[list[Rig], dict[UUID, Snapshot]]:
    rigs = list(Rig.objects.filter(pk__in=numbers).select_related("player", "production"))
    return rigs, as_of_many({rig.pk: numbers[rig.pk] for rig in rigs})


def with_drawings(content: Plain) -> Plain:
    """`content` with `drawing` of kits and inputs, `layer` and `pins` of photos, `stage` and `case`
    of units, and the `photo` that stands beside a unit."""
    views = views_of(content)
    sections = [
        {**each, "rigs": [_rig(rig, views[rig["id"]]) for rig in each["rigs"]]}
        for each in content["sections"]
    ]
    return {**content, "sections": sections}


def _rig(rig: Plain, view: RigView) -> Plain:
    inputs = {each.id: each for each in view.inputs}
    photos = {each.id: each for each in view.all_photos()}
    units = {each.id: each for each in view.units}
    kit = kit_of(view)
    drawing = kit_plan(kit, name=view.name, decoration=True) if kit.is_drawn else ""
    return {
        **rig,
        "kit": {**(rig.get("kit") or {}), "drawing": _safe(drawing)} if drawing else rig.get("kit"),
        "units": [_unit(each, units.get(each["id"])) for each in rig["units"]],
        "inputs": [_input(each, inputs.get(each["id"])) for each in rig["inputs"]],
        "photos": [_photo(each, photos.get(each["id"])) for each in rig["photos"]],
    }


def _unit(unit: Plain, view: UnitView | None) -> Plain:
    if view is None:
        return unit
    places = {"stage": view.stage_position, "case": view.packed_in}
    # What was published goes before what the revision says.
    return {**places, **unit, "photo": view.photos[0] if view.photos else None}


def with_covers(shown: Plain, content: Plain) -> Plain:
    """`shown`, a version of `content` without its photos, with the `cover` of each rig: the photo
    that stands beside its name. No queries."""
    covers = {rig["id"]: _cover(rig["photos"]) for rig in rigs_of(content)}
    sections = [
        {**each, "rigs": [{**rig, "cover": covers[rig["id"]]} for rig in each["rigs"]]}
        for each in shown["sections"]
    ]
    return {**shown, "sections": sections}


def _cover(photos: list[Plain]) -> Plain | None:
    """The first of the whole rig, or else the first there is, as the list of rigs has it."""
    whole = (photo for photo in photos if not photo["about"])
    return next(whole, photos[0] if photos else None)


def _input(entry: Plain, view: InputView | None) -> Plain:
    if view is None:
        return entry
    drawings = [_safe(each) for each in placement_views(view)]
    return {**entry, "drawings": drawings, "to_scale": placed(view).out is not None}


def _photo(photo: Plain, view: PhotoView | None) -> Plain:
    """Places of pins are fractions of the picture, whichever its size."""
    if view is None or not view.pins:
        return photo
    pins = photo.get("pins") or [{"number": pin.number, "legend": pin.legend} for pin in view.pins]
    # Layers of several photos stand on one page, and ids must not repeat.
    prefix = f"photo-{view.id}-"
    return {
        **photo,
        "pins": pins,
        "prefix": prefix,
        "layer": _safe(layer(view, view.pins, prefix=prefix)),
        "width": view.width,
        "height": view.height,
    }


def _safe(drawing: str) -> SafeString:
    # rigs.drawing.svg escapes every word and attribute it writes.
    return mark_safe(drawing)  # noqa: S308
