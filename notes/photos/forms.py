"""Fields by which a form of a note takes photos, and the form that adds some later."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import User
from notes.models import Note
from notes.photos.services import PhotosOfNote, add_photos
from rigs.photos.forms import PhotosField
from rigs.photos.prepare import Prepared

PICK_AGAIN = gettext_lazy("Pick the photos again: a page that comes back cannot hold them.")


class PhotoFields(forms.Form):
    """What a form about a note needs to take photos with it."""

    # A field of its own: a file input that opens the camera offers no stored photos.
    camera = PhotosField(camera=True, label=gettext_lazy("take a photo"), required=False)
    photos = PhotosField(
        label=gettext_lazy("photos"),
        required=False,
        help_text=gettext_lazy(
            "JPEG, PNG, WebP or HEIC. Where and when they were taken is removed."
        ),
    )
    photo_caption = forms.CharField(
        label=gettext_lazy("what the photos show"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("It is also read out to whoever cannot see them."),
    )

    def full_clean(self) -> None:
        super().full_clean()
        # A browser never fills a file field in again, so an error elsewhere costs the photos.
        if self.is_bound and self.errors and self.pictures():
            self.add_error("photos", PICK_AGAIN)
            self.fields["photos"].widget.attrs["data-again"] = "camera photos"

    def pictures(self) -> Sequence[Prepared]:
        """The photos just taken, then those picked from the device."""
        cleaned = getattr(self, "cleaned_data", {})
        return [*(cleaned.get("camera") or ()), *(cleaned.get("photos") or ())]

    @property
    def caption(self) -> str:
        return str(self.cleaned_data.get("photo_caption") or "")

    def drop_photos(self) -> None:
        """Remove the fields of photos, for a form that takes none."""
        for name in PhotoFields.base_fields:
            del self.fields[name]


class NotePhotosForm(PhotoFields):
    """Photos for a note that is there already."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.pictures():
            raise ValidationError({"photos": _("Take a photo or pick at least one.")})
        return cleaned

    def try_add(self, note: Note, by: User) -> PhotosOfNote | None:
        """Add the photos; None where the form has errors to show."""
        if not self.is_valid():
            return None
        try:
            return add_photos(note, self.pictures(), caption=self.caption, by=by)
        except ValidationError as error:
            self.add_error(None, error)
            return None
