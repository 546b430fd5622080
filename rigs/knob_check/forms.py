"""Forms of the check: photos of now, what a person says to it, a setting that is taken over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from core.stored_files import StoredFileUnreadable
from rigs.editing.part_forms import PartForm
from rigs.knob_check.checking import CannotCheck, compare
from rigs.knob_check.references import Reference
from rigs.models import Control
from rigs.photos.forms import PhotosField
from rigs.photos.prepare import Prepared

AT_ONCE = 4  # photos of one form; each takes seconds to read
Compared = tuple[Reference, Prepared, dict[str, Any]]


class CheckForm(forms.Form):
    """For each photo with circles, photos of now."""

    def __init__(self, *args: Any, references: Sequence[Reference], **more: Any) -> None:
        super().__init__(*args, **more)
        self.references = {name_of(each): each for each in references}
        for name, each in self.references.items():
            self.fields[name] = PhotosField(
                label=_("photo of now") if len(references) == 1 else each.name, required=False
            )

    def clean(self) -> dict[str, Any]:
        """Read the photos, so that one that cannot be read is said at its field."""
        cleaned = super().clean() or self.cleaned_data
        brought = [
            (name, picture) for name in self.references for picture in cleaned.get(name) or []
        ]
        if self.errors:
            return cleaned
        if not brought:
            raise ValidationError(_("Pick at least one photo."))
        if len(brought) > AT_ONCE:
            raise ValidationError(
                _("{most} photos at once are the most; these are {n}.").format(
                    most=AT_ONCE, n=len(brought)
                )
            )
        self.compared: list[Compared] = []
        for name, picture in brought:
            reference = self.references[name]
            try:
                self.compared.append((reference, picture, compare(reference, picture)))
            except (CannotCheck, StoredFileUnreadable) as error:
                self.add_error(name, str(error))
        return cleaned

    @property
    def rows(self) -> list[tuple[Reference, forms.BoundField]]:
        """Each photo with circles, with its field."""
        return [(reference, self[name]) for name, reference in self.references.items()]


def name_of(reference: Reference) -> str:
    """The field for photos of now of that panel."""
    return f"now-{reference.photo.pk}"


class TakeOverForm(PartForm):
    """The setting alone, with its reason."""

    class Meta:
        model = Control
        fields = ("setting",)
