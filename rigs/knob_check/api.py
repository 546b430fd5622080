"""Checks of panels over the API: what can be compared, what was seen, what was said to it."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.http import Http404
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.parsers import JSONParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.serializers import ErrorSerializer
from rigs.knob_check.checking import keep
from rigs.knob_check.confirming import ask_to_turn_back, confirm, throw_away
from rigs.knob_check.forms import CheckForm, name_of
from rigs.knob_check.proposals import proposed
from rigs.knob_check.references import Reference, circled, references_of
from rigs.knob_check.states import KnobState, states
from rigs.models import Control, PanelCheck, Photo, Rig
from rigs.settings_of_controls import read_travel


class PanelMarkedControlSerializer(serializers.Serializer[Any]):
    """A control with a mark on the photo, and the setting that the photo shows."""

    control = serializers.UUIDField(source="control.pk")
    name = serializers.CharField(source="control.name")
    pin = serializers.UUIDField(source="pin.pk")
    shown = serializers.CharField(source="pin.cap_setting")


class PanelReferenceSerializer(serializers.Serializer[Reference]):
    """A photo that later ones can be compared with."""

    photo = serializers.UUIDField(source="photo.pk")
    name = serializers.CharField()
    marks = PanelMarkedControlSerializer(many=True)


class PanelControlSerializer(serializers.Serializer[KnobState]):
    """One control as the photo shows it: `off` in degrees clockwise from what is documented now, or
    null with the reason why it cannot be told; `stands` is the setting it then points at."""

    control = serializers.UUIDField(source="control.pk", allow_null=True)
    name = serializers.CharField()
    off = serializers.FloatField(allow_null=True)
    as_documented = serializers.BooleanField(source="is_same")
    reason = serializers.CharField()
    stands = serializers.CharField()
    to_be_turned_back = serializers.SerializerMethodField()

    def get_to_be_turned_back(self, state: KnobState) -> bool:
        return state.turn_back is not None and state.turn_back.done_at is None


class PanelCheckSerializer(serializers.Serializer[PanelCheck]):
    """A photo of now, compared. `confirmed_at` is null until somebody says that all of it is as
    documented, in the change `confirmed_in` of the rig; `by_eye` are controls the photo could not
    tell."""

    id = serializers.UUIDField()
    reference = serializers.UUIDField(source="reference_id")
    show = serializers.UUIDField(source="show_id", allow_null=True)
    by_name = serializers.CharField()
    at = serializers.DateTimeField()
    controls = serializers.SerializerMethodField()
    confirmed_name = serializers.CharField()
    confirmed_at = serializers.DateTimeField(allow_null=True)
    confirmed_in = serializers.IntegerField(allow_null=True)
    by_eye = serializers.ListField(child=serializers.CharField())

    @extend_schema_field(PanelControlSerializer(many=True))
    def get_controls(self, check: PanelCheck) -> Any:
        found: Any = states(check)
        return PanelControlSerializer(found, many=True).data


class NewPanelCheckSerializer(serializers.Serializer[Any]):
    """What is sent to compare a photo, as multipart/form-data: JPEG, PNG, WebP or HEIC."""

    photo = serializers.FileField()


class PanelConfirmationSerializer(serializers.Serializer[Any]):
    """`looked`: also at what the photo could not tell."""

    looked = serializers.BooleanField(default=False)


class PanelTurnBackSerializer(serializers.Serializer[Any]):
    control = serializers.UUIDField()


class RigPanels(ProductionView):
    serializer_class: Any = PanelReferenceSerializer
    pagination_class = None  # type: ignore[assignment]  # a list is read whole
    rig: Rig

    def find_production(self) -> UUID:
        rig = Rig.objects.filter(pk=self.kwargs["rig"]).first()
        if rig is None:
            raise Http404(_("No such rig."))
        self.rig = rig
        return self.rig.production_id

    @extend_schema(
        operation_id="rig_panels_list",
        summary="The photos of a rig that later ones can be compared with",
        responses=PanelReferenceSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(references_of([self.rig.pk]), many=True).data)


class PanelCircleSerializer(serializers.Serializer[Any]):
    """In per cent of the picture; `radius` of its width."""

    x = serializers.FloatField()
    y = serializers.FloatField()
    radius = serializers.FloatField()


class PanelAskedSerializer(serializers.Serializer[Any]):
    """`x` and `y`: where a cap is, in per cent. `control`, with the `angle` of its pointer on the
    photo, in degrees clockwise from straight up, and the ends of its travel as on a clock face,
    both empty for 7:00 to 5:00."""

    x = serializers.FloatField(required=False, min_value=0, max_value=100)
    y = serializers.FloatField(required=False, min_value=0, max_value=100)
    control = serializers.UUIDField(required=False)
    angle = serializers.FloatField(required=False, min_value=-360, max_value=360)
    travel_from = serializers.CharField(required=False, allow_blank=True, default="")
    travel_to = serializers.CharField(required=False, allow_blank=True, default="")

    def validate(self, attrs: Any) -> Any:
        ends = attrs.pop("travel_from"), attrs.pop("travel_to")
        try:
            return {**attrs, "travel": read_travel(*ends)}
        except ValueError as error:
            raise serializers.ValidationError({"travel_from": [str(error)]}) from None


class PanelProposalSerializer(serializers.Serializer[Any]):
    """What the program proposes, for a person to confirm or put right: `circle` in per cent of the
    picture, as on the page, or null; `angle` of the pointer, in degrees clockwise from straight up,
    as asked or as read, or null; `setting`, or empty."""

    circle = PanelCircleSerializer(allow_null=True)
    angle = serializers.FloatField(allow_null=True)
    setting = serializers.CharField(allow_blank=True)


class OfPhoto(ProductionView):
    """Below one photo, which is there and live."""

    pagination_class = None  # type: ignore[assignment]
    photo: Photo

    def find_production(self) -> UUID:
        photos = Photo.objects.live().select_related("rig__production", "image")
        photo = photos.filter(pk=self.kwargs["photo"]).first()
        if photo is None:
            raise Http404(_("No such photo."))
        self.photo = photo
        return photo.rig.production_id  # type: ignore[no-any-return]


class PanelProposals(OfPhoto):
    """Below one photo: what it shows of a panel that is documented for the first time."""

    serializer_class = PanelProposalSerializer

    @extend_schema(
        operation_id="panel_proposals_retrieve",
        summary="A circle over a cap, and the setting of its pointer; writes nothing",
        parameters=[PanelAskedSerializer],
    )
    def get(self, request: Request, **_: Any) -> Response:
        asked = PanelAskedSerializer(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(proposed(self.photo, **asked.validated_data))


class PanelChecks(OfPhoto):
    """Below one photo with marks."""

    serializer_class = PanelCheckSerializer
    write: ClassVar = Action.LINE_CHECK
    parser_classes = (MultiPartParser,)

    @extend_schema(
        operation_id="panel_checks_list",
        summary="The newest 50 photos compared with this one",
        responses=PanelCheckSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        checks = self.photo.checks.select_related("before", "image")[:50]
        return Response(self.get_serializer(checks, many=True).data)

    @extend_schema(
        operation_id="panel_checks_create",
        summary="Compare a photo of now with this one; changes no rig",
        request={"multipart/form-data": NewPanelCheckSerializer},
        responses={201: PanelCheckSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_args: Any) -> Response:
        """The page's own form checks and reads it."""
        sent = NewPanelCheckSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        marks = circled(self.photo)
        if not marks:
            raise ImpossibleValues({"photo": [_("No knob is circled on it yet.")]})
        reference = Reference(self.photo, marks)
        files = {name_of(reference): sent.validated_data["photo"]}
        form = CheckForm({}, files, references=[reference])
        if not form.is_valid():
            raise ImpossibleValues({"photo": [str(m) for e in form.errors.values() for m in e]})
        ((_reference, picture, found),) = form.compared
        check = keep(self.photo, picture, found, by=request.user, show=None)  # type: ignore[arg-type]
        return Response(self.get_serializer(check).data, status.HTTP_201_CREATED)


class OnePanelCheck(ProductionView):
    serializer_class = PanelCheckSerializer
    write: ClassVar = Action.LINE_CHECK
    parser_classes = (JSONParser,)
    check: PanelCheck

    def find_production(self) -> UUID:
        checks = PanelCheck.objects.select_related("reference__rig", "before", "image", "show")
        check = checks.filter(pk=self.kwargs["check"]).first()
        if check is None:
            raise Http404(_("No such check."))
        self.check = check
        return check.reference.rig.production_id

    @extend_schema(operation_id="panel_checks_retrieve", summary="What a photo showed of a panel")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(self.check).data)

    @extend_schema(
        operation_id="panel_checks_throw_away",
        summary="Throw a check away to which nobody has said anything",
        responses={204: None, 422: ErrorSerializer},
    )
    def delete(self, request: Request, **_: Any) -> Response:
        throw_away(self.check)
        return Response(status=status.HTTP_204_NO_CONTENT)


class PanelConfirmation(OnePanelCheck):
    http_method_names = ["post", "options"]  # noqa: RUF012

    @extend_schema(
        operation_id="panel_checks_confirm",
        summary="Say that all of it is as documented",
        request=PanelConfirmationSerializer,
        responses={200: PanelCheckSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = PanelConfirmationSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        check = confirm(self.check, by=request.user, **sent.validated_data)  # type: ignore[arg-type]
        return Response(self.get_serializer(check).data)


class PanelTurnBacks(OnePanelCheck):
    http_method_names = ["post", "options"]  # noqa: RUF012

    @extend_schema(
        operation_id="panel_checks_turn_back",
        summary="Ask for a control to be turned back",
        request=PanelTurnBackSerializer,
        responses={200: PanelCheckSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_args: Any) -> Response:
        sent = PanelTurnBackSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        controls = Control.objects.live().filter(rig=self.check.reference.rig_id)
        control = controls.filter(pk=sent.validated_data["control"]).first()
        if control is None:
            raise ImpossibleValues({"control": [_("There is no such control in the rig.")]})
        ask_to_turn_back(self.check, control, by=request.user)  # type: ignore[arg-type]
        return Response(self.get_serializer(self.check).data)
