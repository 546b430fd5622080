"""Forms of the check: a photo of now, and a setting that is taken over from it."""

from __future__ import annotations

from django import forms

from rigs.editing.part_forms import PartForm
from rigs.models import Control
from rigs.photos.forms import PhotosField


class CheckForm(forms.Form):
    photos = PhotosField(
        label="photo of now",
        help_text="The whole panel from the front, in good light, large in the picture. It is "
        "compared and not kept.",
    )


class TakeOverForm(PartForm):
    """The setting alone, with its reason."""

    class Meta:
        model = Control
        fields = ("setting",)
