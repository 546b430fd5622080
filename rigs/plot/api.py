"""The plot of a production or of a show, to read; the places of things, to write."""

from __future__ import annotations

from typing import Any, ClassVar, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.errors import ApiError
from core.api.serializers import ErrorSerializer
from core.models import Production, Show, User
from rigs.editing.form_api import NewThing, OneThing, fill, refused
from rigs.lists.drops import drops_of
from rigs.models import MainsDrop, Riser, StageSize
from rigs.plot.forms import DropForm, PlacesForm, RiserForm, StageForm
from rigs.plot.load import plot_of
from rigs.plot.services import RETIRED_SHOW, retire_drop, retire_riser, stage_as_usual
from rigs.plot.things import Thing
from rigs.shows.api import ShowApiView


class ThingSerializer(serializers.Serializer[Thing]):
    """Something on the stage. Metres from the centre line to stage right (less than 0: to stage
    left) and upstage of the front edge, to its middle; null where it is not placed."""

    key = serializers.CharField()
    kind = serializers.CharField(source="what.name")
    name = serializers.CharField()
    whose = serializers.CharField()
    right_m = serializers.SerializerMethodField()
    up_m = serializers.SerializerMethodField()
    width_m = serializers.SerializerMethodField()
    depth_m = serializers.SerializerMethodField()
    faces = serializers.IntegerField(
        allow_null=True,
        help_text="Degrees from downstage, less than 0 to stage left; null where nobody said it.",
    )
    place = serializers.CharField(help_text="In words.")
    usual = serializers.CharField(
        help_text="Of a show where it differs: what stands for all shows, in words; else empty."
    )
    moves = serializers.BooleanField(help_text="False where it follows from a kit’s plan.")
    more = serializers.ListField(child=serializers.CharField())

    def get_right_m(self, thing: Thing) -> float | None:
        return thing.spot.metres[0] if thing.spot else None

    def get_up_m(self, thing: Thing) -> float | None:
        return thing.spot.metres[1] if thing.spot else None

    def get_width_m(self, thing: Thing) -> float | None:
        return thing.size.metres[0] if thing.size else None

    def get_depth_m(self, thing: Thing) -> float | None:
        return thing.size.metres[1] if thing.size else None


class DropSerializer(serializers.Serializer[Any]):
    """A drop of mains, with the ids of the units that it feeds."""

    id = serializers.UUIDField(source="drop.pk")
    name = serializers.CharField(source="drop.name")
    place = serializers.CharField(source="drop.place")
    volts = serializers.FloatField(source="drop.volts", allow_null=True)
    hertz = serializers.FloatField(source="drop.hertz", allow_null=True)
    amps = serializers.FloatField(source="drop.amps", allow_null=True)
    supply = serializers.CharField(source="drop.supply")
    feeds = serializers.SerializerMethodField()

    def get_feeds(self, fed: Any) -> list[str]:
        return [str(unit.pk) for unit in fed.units]


class PlotSerializer(serializers.Serializer[Any]):
    width_m = serializers.FloatField(source="plot.width")
    depth_m = serializers.FloatField(source="plot.depth")
    stage_is_said = serializers.BooleanField(source="plot.is_said")
    things = ThingSerializer(source="plot.things", many=True)
    mains = DropSerializer(many=True)
    absent = serializers.ListField(source="plot.absent", child=serializers.CharField())
    lent = serializers.ListField(source="plot.lent", child=serializers.CharField())
    problems = serializers.ListField(source="plot.problems", child=serializers.CharField())


class PlaceSerializer(serializers.Serializer[Any]):
    """Lengths and directions as they are typed: “−2.4 m”, “3 ft 6 in”, “upstage left”; `right` and
    `up` empty take the place away, what is left out stays. `usual`, of a show: back to what is said
    for all shows. What stands on a riser goes along with it, unless it is named itself."""

    key = serializers.CharField(max_length=60)
    right = serializers.CharField(max_length=40, allow_blank=True, required=False)
    up = serializers.CharField(max_length=40, allow_blank=True, required=False)
    width = serializers.CharField(max_length=40, allow_blank=True, required=False)
    depth = serializers.CharField(max_length=40, allow_blank=True, required=False)
    faces = serializers.CharField(max_length=40, allow_blank=True, required=False)
    usual = serializers.BooleanField(default=False)


class PlacesSerializer(serializers.Serializer[Any]):
    places = PlaceSerializer(many=True)


class WrittenPlotSerializer(serializers.Serializer[Any]):
    changed = serializers.ListField(child=serializers.CharField(), help_text="In sentences.")


class StageSizeSerializer(serializers.Serializer[Any]):
    """Lengths as they are typed."""

    width_m = serializers.CharField(max_length=40)
    depth_m = serializers.CharField(max_length=40)
    words = serializers.CharField(max_length=200, allow_blank=True, default="")


class RiserSerializer(serializers.Serializer[Any]):
    """As on the page: lengths and the direction as they are typed; `player` is an id. To change
    one all is sent, with its `version`; what stands on it goes along."""

    id = serializers.UUIDField(read_only=True, source="pk")
    version = serializers.IntegerField(min_value=1, required=False)
    name = serializers.CharField(max_length=60)
    width_m = serializers.CharField(max_length=40)
    depth_m = serializers.CharField(max_length=40)
    height_m = serializers.CharField(max_length=40, allow_blank=True, default="")
    right_m = serializers.CharField(max_length=40, allow_blank=True, default="")
    up_m = serializers.CharField(max_length=40, allow_blank=True, default="")
    faces = serializers.CharField(max_length=40, allow_blank=True, default="")
    player = serializers.UUIDField(allow_null=True, default=None)
    words = serializers.CharField(max_length=200, allow_blank=True, default="")


class MainsDropSerializer(serializers.Serializer[Any]):
    """As on the page; `feeds` are the ids of all units that are fed from it. To change one all is
    sent, with its `version`."""

    id = serializers.UUIDField(read_only=True, source="pk")
    version = serializers.IntegerField(min_value=1, required=False)
    name = serializers.CharField(max_length=60)
    place = serializers.CharField(max_length=80, allow_blank=True, default="")
    right_m = serializers.CharField(max_length=40, allow_blank=True, default="")
    up_m = serializers.CharField(max_length=40, allow_blank=True, default="")
    volts = serializers.DecimalField(6, 1, allow_null=True, default=None)
    hertz = serializers.DecimalField(6, 1, allow_null=True, default=None)
    amps = serializers.DecimalField(6, 1, allow_null=True, default=None)
    supply = serializers.CharField(max_length=200, allow_blank=True, default="")
    feeds = serializers.ListField(child=serializers.UUIDField(), default=list)


def _read(production: Production, show: Show | None) -> Response:
    content = {"plot": plot_of(production, show), "mains": drops_of(production)}
    return Response(PlotSerializer(content).data)


def _write(request: Request, production: Production, show: Show | None) -> Response:
    sent = PlacesSerializer(data=request.data)
    sent.is_valid(raise_exception=True)
    form = _places_form(request, production, show, sent.validated_data["places"])
    changed = form.try_save()
    if changed is None:
        raise refused(form)
    return Response(WrittenPlotSerializer({"changed": changed}).data)


def _places_form(
    request: Request, production: Production, show: Show | None, places: list[dict[str, Any]]
) -> PlacesForm:
    """The form of the page, filled in with what was sent beside what is there now."""
    plot = plot_of(production, show)
    known = {thing.key for thing in plot.movable}
    if unknown := [each["key"] for each in places if each["key"] not in known]:
        raise _wrong(_("Nothing that can be placed has the key {key}.").format(key=unknown[0]))
    by: Any = request.user
    shown = PlacesForm(plot, production, by=by, show=show)
    data = QueryDict(mutable=True)
    for name, field in shown.fields.items():
        if not isinstance(field, forms.BooleanField):
            data[name] = str(field.initial or "")
    for each in places:
        for name in ("right", "up", "width", "depth", "faces"):
            if name in each and f"{each['key']}-{name}" not in shown.fields:
                raise _wrong(
                    _("{key} has no {name} of its own.").format(key=each["key"], name=name)
                )
            if name in each:
                data[f"{each['key']}-{name}"] = each[name]
        if each["usual"]:
            data[f"{each['key']}-usual"] = "on"
    return PlacesForm(plot, production, data, by=by, show=show)


def _wrong(words: str) -> ApiError:
    return ApiError(status.HTTP_400_BAD_REQUEST, "unreadable", words, fields={"places": [words]})


class ProductionPlot(ProductionView):
    serializer_class = PlotSerializer
    pagination_class = None  # type: ignore[assignment]  # it is read whole
    write: ClassVar = Action.EDIT_RIG

    @extend_schema(
        operation_id="plot_retrieve", summary="The plot of all shows", responses=PlotSerializer
    )
    def get(self, request: Request, **_: Any) -> Response:
        return _read(self.production, None)

    @extend_schema(
        operation_id="plot_create",
        summary="Give things their places",
        request=PlacesSerializer,
        responses={200: WrittenPlotSerializer, 400: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        return _write(request, self.production, None)


class ShowPlot(ShowApiView):
    serializer_class = PlotSerializer
    write: ClassVar = Action.LINE_CHECK

    @extend_schema(
        operation_id="show_plot_retrieve", summary="The plot of one show", responses=PlotSerializer
    )
    def get(self, request: Request, **_: Any) -> Response:
        return _read(self.production, self.show)

    @extend_schema(
        operation_id="show_plot_create",
        summary="Give things their places at one show",
        request=PlacesSerializer,
        responses={200: WrittenPlotSerializer, 400: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        if self.show.is_retired:
            raise ApiError(status.HTTP_400_BAD_REQUEST, "retired", str(RETIRED_SHOW))
        return _write(request, self.production, self.show)


class _Stage:
    """How large a stage is: saved by the form of the page."""

    def _save(self, request: Request, production: Production, show: Show | None) -> Response:
        sent = StageSizeSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        size = StageSize.objects.filter(production=production, show=show).first()
        size = size or StageSize(production=production, show=show)
        fill(StageForm, size, request, sent.validated_data)
        return _read(production, show)


class ProductionStage(_Stage, ProductionView):
    serializer_class = StageSizeSerializer
    write: ClassVar = Action.EDIT_RIG

    def get_object(self) -> Production:
        """What an OPTIONS request asks whether the caller may change it."""
        return self.production

    @extend_schema(
        operation_id="plot_stage_update",
        summary="Say how large the stage of all shows is",
        responses={200: PlotSerializer, 400: ErrorSerializer},
    )
    def put(self, request: Request, **_: Any) -> Response:
        return self._save(request, self.production, None)


class ShowStage(_Stage, ShowApiView):
    serializer_class = StageSizeSerializer
    write: ClassVar = Action.LINE_CHECK

    @extend_schema(
        operation_id="show_plot_stage_update",
        summary="Say how large the stage of one show is",
        responses={200: PlotSerializer, 400: ErrorSerializer},
    )
    def put(self, request: Request, **_: Any) -> Response:
        return self._save(request, self.production, self.show)

    @extend_schema(
        operation_id="show_plot_stage_destroy",
        summary="The stage of one show is as that of all shows",
        request=None,
        responses={200: PlotSerializer},
    )
    def delete(self, request: Request, **_: Any) -> Response:
        stage_as_usual(self.show, by=cast(User, request.user))
        return _read(self.production, self.show)


@extend_schema_view(
    post=extend_schema(
        operation_id="plot_riser_create",
        summary="Put a riser on the stage",
        responses={201: RiserSerializer, 400: ErrorSerializer},
    )
)
class PlotRisers(NewThing):
    serializer_class = RiserSerializer
    model, form_class, named = Riser, RiserForm, "riser"


@extend_schema_view(
    get=extend_schema(operation_id="plot_riser_retrieve", summary="A riser, as it is typed"),
    put=extend_schema(
        operation_id="plot_riser_update",
        summary="Change a riser",
        responses={200: RiserSerializer, 400: ErrorSerializer},
    ),
    delete=extend_schema(
        operation_id="plot_riser_destroy", summary="Take a riser off", responses={204: None}
    ),
)
class PlotRiser(OneThing):
    serializer_class = RiserSerializer
    model, form_class, named, retire = Riser, RiserForm, "riser", retire_riser


@extend_schema_view(
    post=extend_schema(
        operation_id="plot_mains_create",
        summary="Put a drop of mains on the stage",
        responses={201: MainsDropSerializer, 400: ErrorSerializer},
    )
)
class PlotDrops(NewThing):
    serializer_class = MainsDropSerializer
    model, form_class, named = MainsDrop, DropForm, "drop"


@extend_schema_view(
    get=extend_schema(
        operation_id="plot_mains_retrieve", summary="A drop of mains, as it is typed"
    ),
    put=extend_schema(
        operation_id="plot_mains_update",
        summary="Change a drop of mains, and what it feeds",
        responses={200: MainsDropSerializer, 400: ErrorSerializer},
    ),
    delete=extend_schema(
        operation_id="plot_mains_destroy",
        summary="Take a drop of mains off",
        responses={204: None, 400: ErrorSerializer},
    ),
)
class PlotDrop(OneThing):
    serializer_class = MainsDropSerializer
    model, form_class, named, retire = MainsDrop, DropForm, "drop", retire_drop
