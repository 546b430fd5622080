"""Photos of notes over the API: what a note shows, the pictures, and adding some."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.fields import PlainSerializer
from core.api.serializers import ErrorSerializer, PersonSerializer
from notes.models import Note, NotePhoto
from notes.photos.forms import NotePhotosForm
from notes.queries import notes_of
from rigs.photos.serve import picture_response


class NotePhotoSerializer(PlainSerializer):
    """A photo that a note shows. `sha256` is that of its WebP file, `width` and `height` are in
    pixels; without where and when it was taken. `arrived_at` is null unless it waited on a device
    without a network."""

    sha256 = serializers.CharField(source="image.sha256")
    width = serializers.IntegerField(source="image.width")
    height = serializers.IntegerField(source="image.height")
    added_by = PersonSerializer()

    class Meta:
        model = NotePhoto
        fields: ClassVar = [
            "id",
            "caption",
            "sha256",
            "width",
            "height",
            "added_by",
            "added_at",
            "arrived_at",
        ]


class NewNotePhotosSerializer(serializers.Serializer[Any]):
    """What is sent to add photos, as multipart/form-data: JPEG, PNG, WebP or HEIC."""

    photos = serializers.ListField(child=serializers.FileField(), min_length=1, max_length=12)
    photo_caption = serializers.CharField(required=False, max_length=200)


class NotePhotos(ProductionView):
    serializer_class = NotePhotoSerializer
    queryset = NotePhoto.objects.none()
    write: ClassVar = Action.WRITE_NOTE
    parser_classes = (MultiPartParser,)

    def find_production(self) -> UUID:
        return production_of(Note.objects.filter(pk=self.kwargs["note"]), "production", "note")

    @extend_schema(
        operation_id="note_photos_create",
        summary="Add photos to a note",
        request={"multipart/form-data": NewNotePhotosSerializer},
        description="The answer is all that the note shows then; 200 where it showed the same "
        "pictures already.",
        responses={
            200: NotePhotoSerializer(many=True),
            201: NotePhotoSerializer(many=True),
            400: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        """The page's own form checks and adds them."""
        note = get_object_or_404(notes_of(self.production), pk=self.kwargs["note"])
        form = NotePhotosForm(request.POST, request.FILES)
        added = form.try_add(note, request.user)  # type: ignore[arg-type]
        if added is None:
            raise ImpossibleValues(form.errors.as_data())
        shown = notes_of(self.production).get(pk=note.pk).shown_photos  # type: ignore[attr-defined]
        code = status.HTTP_201_CREATED if added.new else status.HTTP_200_OK
        return Response(self.get_serializer(shown, many=True).data, code)


class NotePhotoFile(ProductionView):
    serializer_class = NotePhotoSerializer
    queryset = NotePhoto.objects.none()

    def find_production(self) -> UUID:
        found = NotePhoto.objects.filter(pk=self.kwargs["note_photo"])
        return production_of(found, "note__production", "photo")

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """A picture is asked for, and errors are JSON all the same."""
        # Without `force` whoever accepts nothing but pictures would be answered 406.
        return super().perform_content_negotiation(request, force=True)

    @extend_schema(
        operation_id="note_photos_file",
        summary="The picture of a photo, whole or small",
        parameters=[OpenApiParameter("size", str, enum=["thumb"])],
        responses={(200, "image/webp"): OpenApiTypes.BINARY, 304: None, 404: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> HttpResponseBase:
        photos = NotePhoto.objects.select_related("image")
        photo = get_object_or_404(
            photos, pk=self.kwargs["note_photo"], note__production=self.production
        )
        return picture_response(request._request, photo.image, photo.caption)
