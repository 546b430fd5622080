"""The newest checkpoint, and proofs after RFC 9162, over the API."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.utils.translation import gettext, gettext_lazy
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import APIException
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.models import Checkpoint
from core.proof.checkpoints import consistency, inclusion, newest, newest_place, stated


class CheckpointSerializer(serializers.Serializer[Any]):
    """A checkpoint; what is signed is described in docs/proof.md."""

    format = serializers.CharField()
    production = serializers.UUIDField()
    size = serializers.IntegerField(help_text="entries")
    # A serializer has an attribute of that name, for which a field may stand.
    root = serializers.CharField(  # type: ignore[assignment]
        help_text="of the Merkle tree over them, hexadecimal"
    )
    code = serializers.CharField(help_text="as it is printed")
    at = serializers.CharField()
    protected = serializers.BooleanField(help_text="whether all triggers were as they ought to be")
    public_key = serializers.CharField(allow_blank=True, help_text="Ed25519; empty: not signed")
    signature = serializers.CharField(allow_blank=True)


class GrewSerializer(serializers.Serializer[Any]):
    first = serializers.IntegerField()
    proof = serializers.ListField(child=serializers.CharField(), help_text="RFC 9162, 2.1.4")
    checkpoint = CheckpointSerializer()


class EntryProofSerializer(serializers.Serializer[Any]):
    index = serializers.IntegerField(help_text="from 0")
    at = serializers.DateTimeField()
    leaf = serializers.CharField(help_text="the hash of the entry")
    proof = serializers.ListField(child=serializers.CharField(), help_text="RFC 9162, 2.1.3")
    checkpoint = CheckpointSerializer()


class GrewQuery(serializers.Serializer[Any]):
    first = serializers.IntegerField(min_value=1, help_text="entries that were seen earlier")


class EntryQuery(serializers.Serializer[Any]):
    table = serializers.CharField(max_length=48, help_text="such as notes.note")
    key = serializers.CharField(max_length=200)


class NoCheckpoint(APIException):
    """Before the first day, the first sign-off and the first publishing."""

    status_code = 409
    default_detail = gettext_lazy(
        "There is no checkpoint yet. One is made every day, and at every sign-off."
    )


class NewestCheckpoint(ProductionView):
    serializer_class: Any = CheckpointSerializer
    queryset: Any = Checkpoint.objects.none()

    @extend_schema(operation_id="checkpoint_retrieve", summary="The newest checkpoint of the log")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(CheckpointSerializer(stated(self.newest()).as_json()).data)

    def newest(self) -> Checkpoint:
        found = newest(self.production.pk)
        if found is None:
            raise NoCheckpoint
        return found


class Grew(NewestCheckpoint):
    serializer_class = GrewSerializer

    @extend_schema(
        operation_id="checkpoint_grew",
        summary="That the log of the newest checkpoint begins with an earlier one",
        parameters=[GrewQuery],
    )
    def get(self, request: Request, **_: Any) -> Response:
        query = GrewQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        last, first = self.newest(), query.validated_data["first"]
        if first > last.size:
            words = gettext("The newest checkpoint has {n} entries.").format(n=last.size)
            raise serializers.ValidationError({"first": words})
        said = {
            "first": first,
            "proof": consistency(self.production.pk, first, last.size),
            "checkpoint": stated(last).as_json(),
        }
        return Response(GrewSerializer(said).data)


class EntryProof(NewestCheckpoint):
    serializer_class = EntryProofSerializer

    @extend_schema(
        operation_id="checkpoint_entry",
        summary="That the newest entry about a record is in the log of the newest checkpoint",
        parameters=[EntryQuery],
    )
    def get(self, request: Request, **_: Any) -> Response:
        query = EntryQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        last, asked = self.newest(), query.validated_data
        place = newest_place(self.production.pk, asked["table"], asked["key"], last.size)
        if place is None:
            raise Http404(gettext("The log of the newest checkpoint has no such record."))
        index, at = place
        leaf, proof = inclusion(self.production.pk, index, last.size)
        said = {
            "index": index,
            "at": at,
            "leaf": leaf,
            "proof": proof,
            "checkpoint": stated(last).as_json(),
        }
        return Response(EntryProofSerializer(said).data)
