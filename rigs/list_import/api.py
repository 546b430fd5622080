"""An input list over the API: upload it, look at what it would do, mend it, confirm it once."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.errors import ApiError
from core.api.serializers import ErrorSerializer
from rigs.changes.reasons import CIRCUMSTANCES, NO_REASON, Reason, ReasonKind, ReasonRequired
from rigs.list_import import services
from rigs.list_import.account import Account, name_of
from rigs.list_import.forms import MAX_BYTES
from rigs.models import ListImport
from rigs.revisions.record import Conflict

TOO_LARGE = gettext_lazy("The file is larger than 5 MB.")


class ListFileSerializer(serializers.Serializer[Any]):
    file = serializers.FileField()

    def validate_file(self, file: Any) -> Any:
        if file.size > MAX_BYTES:
            raise serializers.ValidationError(TOO_LARGE)
        return file


class Texts(serializers.DictField):
    child = serializers.CharField(allow_blank=True, max_length=4000)


class MendingSerializer(serializers.Serializer[Any]):
    """What is left out stays as it is."""

    mapping = serializers.DictField(
        child=serializers.CharField(allow_blank=True),
        required=False,
        help_text="Index of a column, from 0 → its key, such as name or device.",
    )
    mended = serializers.DictField(
        child=Texts(), required=False, help_text="Row of the file → key → what the cell says."
    )
    rigs = serializers.DictField(
        child=Texts(),
        required=False,
        help_text="Key of a player’s rows → do (make, leave, or the id of a rig), player, "
        "instrument, name.",
    )
    devices = serializers.DictField(
        child=Texts(),
        required=False,
        help_text="Key of a device → do: a principle, leave, or the id of a device.",
    )


class CircumstanceSerializer(serializers.Serializer[Any]):
    """Why rigs that are there change as the list says."""

    kind = serializers.ChoiceField(choices=[str(kind) for kind in CIRCUMSTANCES])
    words = serializers.CharField(max_length=500)


class ConfirmationSerializer(serializers.Serializer[Any]):
    seen = serializers.CharField(help_text="The `seen` of the preview that is confirmed.")
    reason = CircumstanceSerializer(required=False)

    def reason_given(self) -> Reason:
        given = self.validated_data.get("reason")
        return Reason(ReasonKind(given["kind"]), given["words"]) if given else NO_REASON


class NewRigSerializer(serializers.Serializer[Any]):
    key = serializers.CharField()
    words = serializers.CharField()
    do = serializers.CharField()
    player = serializers.CharField(allow_blank=True)
    instrument = serializers.CharField(allow_blank=True)
    name = serializers.CharField(allow_blank=True)
    inputs = serializers.ListField(child=serializers.CharField())


class NewDeviceOfListSerializer(serializers.Serializer[Any]):
    key = serializers.CharField()
    words = serializers.CharField()
    do = serializers.CharField()


class ListRowSerializer(serializers.Serializer[Any]):
    row = serializers.IntegerField(help_text="Its number in the file; several for several inputs.")
    input = serializers.UUIDField(allow_null=True, help_text="Null for a new one.")
    player = serializers.CharField(allow_blank=True)
    changes = serializers.ListField(
        child=serializers.ListField(child=serializers.CharField(allow_blank=True)),
        help_text="Heading, old cell, new cell.",
    )
    not_understood = serializers.DictField(help_text="Key → why its cell is not understood.")
    waits = serializers.BooleanField(help_text="Nothing of it is taken before it is mended.")


class ListImportSerializer(serializers.Serializer[Any]):
    """What a list would do. Nothing is written before it is confirmed."""

    id = serializers.UUIDField()
    file_name = serializers.CharField()
    applied_at = serializers.DateTimeField(allow_null=True)
    seen = serializers.CharField()
    cells = serializers.DictField(help_text="How many are used, asked about, not used.")
    mapping = serializers.DictField()
    columns_not_used = serializers.ListField(child=serializers.CharField())
    rows_not_used = serializers.ListField(child=serializers.DictField())
    rigs = NewRigSerializer(many=True)
    devices = NewDeviceOfListSerializer(many=True)
    rows = ListRowSerializer(many=True)


class WrittenRevisionsSerializer(serializers.Serializer[Any]):
    revisions = serializers.ListField(child=serializers.DictField())


def told(found: ListImport) -> dict[str, Any]:
    shown = services.preview(found)
    account = Account(found, shown)
    making = shown.making
    return {
        "id": found.pk,
        "file_name": found.file_name,
        "applied_at": found.applied_at,
        "seen": shown.seen,
        "cells": {
            "used": account.used,
            "asked": account.asked,
            "not_used": account.not_used,
        },
        "mapping": found.mapping,
        "columns_not_used": [name_of(found, column) for column in account.left_columns],
        "rows_not_used": [row._asdict() for row in account.left_rows],
        "rigs": [
            {
                "key": plan.key,
                "words": plan.words,
                "do": plan.do,
                "player": str(plan.rig.player) if plan.rig else "",
                "instrument": plan.rig.player.instrument if plan.rig else "",
                "name": plan.rig.name if plan.rig else "",
                "inputs": plan.names,
            }
            for plan in (making.rigs.values() if making else ())
        ],
        "devices": [
            {"key": plan.key, "words": plan.words, "do": str(plan.do)}
            for plan in (making.devices.values() if making else ())
        ],
        "rows": [
            {
                "row": row.number,
                "input": row.entry.pk if row.entry else None,
                "player": str(row.rig.player) if row.rig else "",
                "changes": row.changes,
                "not_understood": row.errors,
                "waits": row.waits,
            }
            for row in shown.rows
        ],
    }


class ListImports(ProductionView):
    serializer_class = ListImportSerializer
    write: ClassVar = Action.EDIT_RIG
    parser_classes = (MultiPartParser,)

    @extend_schema(
        operation_id="list_imports_create",
        summary="Upload an input list; nothing is written before it is confirmed",
        request={"multipart/form-data": ListFileSerializer},
        responses={201: ListImportSerializer, 400: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = ListFileSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        file = sent.validated_data["file"]
        try:
            found = services.import_list(
                production=self.production,
                by=request.user,  # type: ignore[arg-type]
                name=file.name,
                data=file.read(),
            )
        except ValueError as error:
            raise ValidationError({"file": [str(error)]}) from None
        return Response(ListImportSerializer(told(found)).data, status.HTTP_201_CREATED)


class OfListImport(ProductionView):
    """Below one list of a production; the list of one show is not to be had here."""

    serializer_class = ListImportSerializer
    write: ClassVar = Action.EDIT_RIG
    found: ListImport

    def find_production(self) -> UUID:
        found = ListImport.objects.filter(pk=self.kwargs["import"], show=None)
        first = found.select_related("production").first()
        if first is None:
            raise Http404(_("No such list."))
        self.found = first
        return first.production_id


class OneListImport(OfListImport):
    @extend_schema(operation_id="list_imports_retrieve", summary="What a list would do")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(ListImportSerializer(told(self.found)).data)

    @extend_schema(
        operation_id="list_imports_partial_update",
        summary="Mend cells of a list, name its columns, choose what it makes",
        request=MendingSerializer,
        responses={200: ListImportSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def patch(self, request: Request, **_: Any) -> Response:
        sent = MendingSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        data = sent.validated_data
        if self.found.applied_at is not None:
            raise ApiError(status.HTTP_409_CONFLICT, "done_already", str(services.DONE_ALREADY))
        if "mapping" in data:
            services.remap(
                list_import=self.found,
                mapping={index: key for index, key in data["mapping"].items() if index.isdecimal()},
            )
        making = {kind: data[kind] for kind in ("rigs", "devices") if kind in data}
        services.mend(list_import=self.found, mended=data.get("mended", {}), making=making)
        return Response(ListImportSerializer(told(self.found)).data)


class ListConfirmation(OfListImport):
    @extend_schema(
        operation_id="list_imports_confirm",
        summary="Do what a list would do, once and all of it",
        request=ConfirmationSerializer,
        responses={200: WrittenRevisionsSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = ConfirmationSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        try:
            done = services.apply(
                list_import=self.found,
                by=request.user,  # type: ignore[arg-type]
                reason=sent.reason_given(),
                seen=sent.validated_data["seen"],
            )
        except ReasonRequired as error:
            raise ApiError(status.HTTP_400_BAD_REQUEST, "reason_required", str(error)) from None
        except Conflict as error:
            raise ApiError(status.HTTP_409_CONFLICT, "conflict", str(error)) from None
        revisions = [{"rig": str(r.rig_id), "number": r.number} for r in done]
        return Response({"revisions": revisions})
