"""How a rig stands in a song, or in scenes, for whoever recalls it from outside."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404
from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from rigs.api.views import RigApiView
from rigs.changes.edits import Snapshot
from rigs.changes.played import Layer, Played, Stands, played
from rigs.revisions import read

_LAYERS = [(str(layer), str(layer)) for layer in Layer]
SONG = OpenApiParameter("song", UUID, description="The song that is played; none: as documented.")
SCENE = OpenApiParameter(
    "scene", UUID, many=True, description="Scenes recalled on top, in this order."
)


class StandsSerializer(serializers.Serializer[Any]):
    """Where a control stands, or whether a unit is in or bypassed, and whose word that is."""

    part = serializers.UUIDField(help_text="The control or unit.")
    value = serializers.CharField()
    layer = serializers.ChoiceField(choices=_LAYERS)
    scene = serializers.UUIDField(allow_null=True, help_text="The last scene that speaks of it.")
    in_scene = serializers.CharField(
        help_text="What that says; the song’s own setting counts where they differ."
    )


class RecalledSerializer(serializers.Serializer[Any]):
    unit = serializers.UUIDField()
    scene = serializers.UUIDField()


class PlayedSerializer(serializers.Serializer[Any]):
    """Documented, then scenes, then the song’s own settings. What is not listed among the units is
    as wired."""

    scenes = RecalledSerializer(many=True)
    units = StandsSerializer(many=True)
    controls = StandsSerializer(many=True)


class RigPlayed(RigApiView):
    serializer_class = PlayedSerializer

    @extend_schema(
        operation_id="rig_played_retrieve",
        summary="How a rig stands in a song",
        parameters=[SONG, SCENE],
    )
    def get(self, request: Request, **_named: Any) -> Response:
        snapshot = read.live(self.rig)
        song = _id("song", request.query_params.get("song", ""))
        scenes = [_id("scene", text) for text in request.query_params.getlist("scene")]
        for scene in scenes:
            if snapshot.get(scene, {}).get("kind") != "scene":
                raise Http404(_("This rig has no such scene."))
        stands = played(snapshot, self._song(song), scenes)
        return Response(self.get_serializer(_data(stands, snapshot)).data)

    def _song(self, song: str) -> str:
        """The id of a song of this production. Raises Http404."""
        if song and not self.rig.production.songs.filter(pk=song).exists():
            raise Http404(_("No such song."))
        return song


def _id(name: str, text: str) -> str:
    try:
        return str(UUID(text)) if text else ""
    except ValueError:
        raise ValidationError({name: [_("This is an id.")]}) from None


def _data(stands: Played, snapshot: Snapshot) -> dict[str, Any]:
    order = {part: place for place, part in enumerate(snapshot)}
    return {
        "scenes": [{"unit": unit, "scene": scene} for unit, scene in stands.scenes.items()],
        "units": [_stands(part, s) for part, s in sorted(stands.units.items())],
        "controls": [
            _stands(part, s)
            for part, s in sorted(stands.controls.items(), key=lambda i: order[i[0]])
        ],
    }


def _stands(part: str, stands: Stands) -> dict[str, Any]:
    return {
        "part": part,
        "value": stands.value,
        "layer": str(stands.layer),
        "scene": stands.scene or None,
        "in_scene": stands.in_scene,
    }
