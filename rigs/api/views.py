"""Rigs: to list, to read whole as they are or were, and to change through the gateway."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.exceptions import PermissionDenied, ValidationError
from rest_framework.mixins import ListModelMixin
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action, allowed
from core.api.base import ByPolicy, ProductionView
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.numbers import whole_number
from rigs.api import serializers
from rigs.api.change import change
from rigs.api.edits import ChangeSerializer
from rigs.api.readings import readings_of
from rigs.checks.acceptance import findings_with_words
from rigs.checks.api import FindingSerializer
from rigs.inputs.api import make_devices
from rigs.models import Revision, Rig
from rigs.revisions import read


@extend_schema_view(
    get=extend_schema(
        operation_id="rigs_list", summary="Rigs with the number of their newest change"
    )
)
class Rigs(ProductionList):
    serializer_class = serializers.RigSerializer
    queryset = Rig.objects.none()
    ordering: ClassVar = ("name", "pk")

    def rows(self) -> QuerySet[Any]:
        return Rig.objects.filter(production=self.production)


class RigApiView(ProductionView):
    """Below one rig, whose production is the caller's or the rig is not there for them."""

    rig: Rig

    def find_production(self) -> UUID:
        try:
            self.rig = Rig.objects.get(pk=self.kwargs["rig"])
        except Rig.DoesNotExist:
            raise Http404(_("No such rig.")) from None
        return self.rig.production_id


AT = OpenApiParameter(
    "at", int, description="The number of a change: the rig as it was right after it."
)


class OneRig(RigApiView):
    serializer_class = serializers.WholeRigSerializer

    @extend_schema(operation_id="rigs_retrieve", summary="A rig whole", parameters=[AT])
    def get(self, request: Request, **_: Any) -> Response:
        rig, number = self.rig, _number(request.query_params.get("at"))
        head = serializers.head_of(rig)
        if number is None:
            at, snapshot = head, read.live(rig)
        else:
            at, snapshot = _as_of(rig, number)
        whole = {
            "id": rig.pk,
            "production": rig.production_id,
            "player": rig.player_id,
            "head": head,
            "at": at,
            "snapshot": snapshot,
        }
        return Response(self.get_serializer(whole).data)


def _number(text: str | None) -> int | None:
    if text is None:
        return None
    number = whole_number(text)
    if number is None:
        raise ValidationError({"at": [_("This is the number of a change: 1, 2, 3 …")]})
    return number


def _as_of(rig: Rig, number: int) -> tuple[dict[str, Any], Any]:
    try:
        revision = read.revision(rig, number)
        return {"number": number, "digest": revision.digest}, read.as_of(rig, number)
    except read.NoSuchRevision as error:
        raise Http404(str(error)) from None


class RigFindings(RigApiView):
    serializer_class = FindingSerializer
    pagination_class = None  # type: ignore[assignment]  # a few, read whole

    @extend_schema(
        operation_id="rig_findings_list",
        summary="What is found on a rig as it is documented",
        responses=FindingSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        found = findings_with_words([self.rig])[self.rig.pk]
        return Response(self.get_serializer(found, many=True).data)


class RigChanges(ListModelMixin, RigApiView):
    serializer_class = serializers.RevisionSerializer
    queryset = Revision.objects.none()
    ordering: ClassVar = ("-number",)
    write: ClassVar = Action.EDIT_RIG

    def get_queryset(self) -> QuerySet[Revision]:
        if self.drawing_schema:
            return Revision.objects.none()
        return Revision.objects.filter(rig=self.rig).prefetch_related("changes")

    @extend_schema(operation_id="rig_changes_list", summary="Every change of a rig, newest first")
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="rig_changes_create",
        summary="Change a rig",
        request=ChangeSerializer,
        responses={
            201: serializers.WrittenSerializer,
            200: serializers.WrittenSerializer,
            400: serializers.ReasonRequiredSerializer,
            409: serializers.ConflictSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = ChangeSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        edits = sent.edits_given()
        if sent.validated_data["devices"] and not allowed(self.member.roles, Action.EDIT_DEVICES):
            raise PermissionDenied(ByPolicy.message)
        with transaction.atomic():
            make_devices(self.rig.production, sent.validated_data["devices"])
            revision = change(
                self.rig,
                edits,
                author=request.user,  # type: ignore[arg-type]
                base=sent.validated_data["base"],
                reason=sent.reason_given(),
            )
        readings = readings_of(self.rig, edits)
        written = {
            "head": serializers.head_of(self.rig),
            "revision": revision,
            "readings": readings,
        }
        return Response(
            serializers.WrittenSerializer(written).data,
            status.HTTP_201_CREATED if revision else status.HTTP_200_OK,
        )
