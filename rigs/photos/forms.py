"""Forms of photos: upload some, describe what they show."""

from __future__ import annotations

from collections.abc import Collection
from contextlib import suppress
from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import leading
from core.uploads.made_once import made_once
from rigs.editing.ordering import in_order
from rigs.editing.part_forms import PartForm
from rigs.models import Input, Photo, Rig, Unit
from rigs.photos.prepare import PhotoError, Prepared, prepare

# Photos of one upload; each is decoded and encoded while the request waits.
AT_ONCE = 12
VIEWS = [("", gettext_lazy("not said")), *Photo.View.choices]


class ManyFilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Several pictures at once; cleans to a list of Prepared, or says what is wrong with each.

    With `keep_good`, those that can be taken are, and `problems` says what is wrong with the
    others; an error is only where none can be taken. With `camera`, a phone takes one picture at
    once, without asking from where.
    """

    def __init__(self, *, camera: bool = False, keep_good: bool = False, **more: Any) -> None:
        self.keep_good, self.problems = keep_good, list[str]()
        # A phone offers its camera and its album; `capture` takes the album away.
        widget = (
            forms.FileInput(attrs={"accept": "image/*", "capture": "environment"})
            if camera
            else ManyFilesInput(attrs={"accept": "image/*"})
        )
        super().__init__(widget=widget, **more)

    def clean(self, data: Any, initial: Any = None) -> list[Prepared]:
        if not data:
            if not self.required:
                return []
            raise ValidationError(_("Pick at least one photo."))
        data = data if isinstance(data, list) else [data]
        if len(data) > AT_ONCE:
            raise ValidationError(
                _("{most} photos at once are the most; these are {n}.").format(
                    most=AT_ONCE, n=len(data)
                )
            )
        pictures, problems = [], []
        for file in data:
            try:
                pictures.append(_prepared_once(file))
            except PhotoError as error:
                problems.append(leading(file.name, error))
        if self.keep_good and pictures:
            self.problems = problems
        elif problems:
            raise ValidationError([*problems, _("Nothing was stored yet: pick the photos again.")])
        return pictures


def prepare_ahead(request: HttpRequest, *, besides: Collection[str] = ()) -> None:
    """Prepare what a form with fields of photos brings, all its files but those of the fields named
    in `besides`. What is wrong with a file is said by its field, which finds here what was made of
    it."""
    for name, files in request.FILES.lists():
        for file in files[:AT_ONCE] if name not in besides else ():
            with suppress(PhotoError):
                _prepared_once(file)


def _prepared_once(file: UploadedFile[Any]) -> Prepared:
    """What was made of this file before, if anything was. Raises PhotoError."""
    return made_once(file, _prepared, PhotoError)


def _prepared(file: UploadedFile[Any]) -> Prepared:
    # The file may have been read before, and would then seem empty.
    file.seek(0)
    limit = settings.PHOTO_MAX_BYTES
    # One byte more than may be, so that a file of 1 GB is refused without being read.
    data = file.read(limit + 1) if (file.size or 0) <= limit else b" " * (limit + 1)
    return prepare(data, max_bytes=limit, max_pixels=settings.PHOTO_MAX_PIXELS)


EACH = "each"  # in place of what all the photos show


class PhotosForm(forms.Form):
    # A field of its own: a file input that opens the camera offers no stored photos.
    camera = PhotosField(camera=True, label=gettext_lazy("take a photo"), required=False)
    photos = PhotosField(
        label=gettext_lazy("photos"),
        keep_good=True,
        required=False,
        help_text=format_lazy(
            gettext_lazy(
                "Up to {most} at once: JPEG, PNG, WebP or HEIC. Where and when they were taken "
                "is removed."
            ),
            most=AT_ONCE,
        ),
    )
    about = forms.ChoiceField(label=gettext_lazy("what they show"), required=False)
    view = forms.ChoiceField(label=gettext_lazy("which view"), required=False, choices=VIEWS)
    caption = forms.CharField(
        label=gettext_lazy("caption"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("What to look at: which socket, where the mic sits."),
    )

    def __init__(self, *args: Any, rig: Rig, **more: Any) -> None:
        super().__init__(*args, **more)
        each = (EACH, _("each something else: say it on the next page"))
        self.fields["about"].choices = [each, *about_choices(rig)]  # type: ignore[attr-defined]

    @property
    def for_each(self) -> bool:
        """Whether what each photo shows is said on the next page."""
        return bool(self.data.get("about") == EACH)

    def clean_about(self) -> UUID | None:
        about = self.cleaned_data["about"]
        return UUID(about) if about and about != EACH else None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.pictures():
            raise ValidationError({"photos": _("Take a photo or pick at least one.")})
        if not (self.for_each or cleaned.get("about") or cleaned.get("caption")):
            cleaned["view"] = cleaned.get("view") or Photo.View.OVERALL
        return cleaned

    def pictures(self) -> list[Prepared]:
        """The photo just taken, then those picked from the device."""
        cleaned = self.cleaned_data
        return [*(cleaned.get("camera") or ()), *(cleaned.get("photos") or ())]

    @property
    def problems(self) -> list[str]:
        """What is wrong with the files that were left out, each by its name."""
        field: Any = self.fields["photos"]
        found: list[str] = field.problems
        return found


def about_choices(rig: Rig) -> list[Any]:
    """The rig as a whole, and its units and inputs that are in use. Two queries."""
    choices: list[Any] = [("", _("the rig as a whole"))]
    for heading, model in ((_("Units"), Unit), (_("Inputs"), Input)):
        parts = [
            (str(part.pk), str(part)) for part in in_order(model.objects.live().filter(rig=rig))
        ]
        if parts:
            choices.append((heading, parts))
    return choices


def as_id(value: Any) -> UUID:
    """The id of a subject as a UUID, from the text that was typed or from a stored value."""
    return UUID(str(value))


class PhotoForm(PartForm):
    """Caption and subject of a photo in the rig; the picture itself stays what it is."""

    about = forms.TypedChoiceField(
        label=gettext_lazy("what it shows"), required=False, coerce=as_id, empty_value=None
    )

    class Meta:
        model = Photo
        fields = ("about", "view", "caption")

    def limit_choices(self) -> None:
        self.fields["about"].choices = about_choices(self.rig)  # type: ignore[attr-defined]
        self.fields["view"].choices = VIEWS  # type: ignore[attr-defined]
