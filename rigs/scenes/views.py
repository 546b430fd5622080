"""The page of a scene: what one press sets, drawn and in words, and the form to change it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, retired_page
from rigs.models import Scene, Unit
from rigs.retire.views import retire_or_restore_part
from rigs.revisions.many import newest
from rigs.scenes.form import SceneForm
from rigs.wording import DifferenceView
from rigs.wording.build import snapshot_view


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    if unit.retired:
        return retired_page(request, unit, own)
    form = SceneForm(unit.rig, unit, data=posted(request))
    another = "another" in request.POST
    return change_page(
        request,
        form,
        heading=_("Add a scene to {unit}").format(unit=unit),
        template="rigs/scenes/scene.html",
        done_url=f"{own}#scenes",
        next_url=address(unit.rig, "scene_new" if another else "unit", unit.pk)
        + ("" if another else "#scenes"),
        success=_("Scene “{get}” is on file.").format(get=request.POST.get("name", "").strip()),
        unit=unit,
        offer_another=True,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_RIG)
def page(request: ProductionRequest, rig_id: UUID, scene_id: UUID) -> HttpResponse:
    scene = find_part(request, Scene, rig_id, scene_id, "unit")
    own = address(scene.rig, "scene", scene.pk)
    if scene.retired and request.method == "POST":
        return retired_page(request, scene, own)
    view = snapshot_view(scene.rig, newest(scene.rig))
    return change_page(
        request,
        SceneForm(scene.rig, scene.unit, scene, posted(request)),
        heading=_("Scene {scene}").format(scene=scene),
        template="rigs/scenes/scene.html",
        done_url=own,
        success=_("Scene “{scene}” is saved.").format(scene=scene),
        unit=scene.unit,
        scene=scene,
        view=view,
        shown=view.scene(scene.pk),
        stands=view.played(scenes=[str(scene.pk)]),
        songs=[song for song in view.songs if _is_named(song.differences, str(scene.pk))],
    )


def _is_named(differences: tuple[DifferenceView, ...], scene: str) -> bool:
    return any(each.scene is not None and each.scene.id == scene for each in differences)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, rig_id: UUID, scene_id: UUID) -> HttpResponse:
    scene = find_part(request, Scene, rig_id, scene_id, "unit")
    own = address(scene.rig, "scene", scene.pk)
    of_unit = f"{address(scene.rig, 'unit', scene.unit_id)}#scenes"
    return retire_or_restore_part(
        request, scene.rig, scene, edit_url=own, back_url=own, done_url=of_unit
    )
