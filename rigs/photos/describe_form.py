"""What each of several photos shows, in one form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple, Self
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from rigs.changes.edits import Edit, Set
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.ordering import in_order
from rigs.models import Input, Photo, Rig, Unit
from rigs.photos.forms import VIEWS, about_choices
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict

WHOLE_RIG = "rig"  # chosen, where nothing is chosen yet
NAMES = ("about", "view", "caption")


class Guess(NamedTuple):
    """What a photo may show: its subject as the form names it, and which view."""

    about: str
    view: str


class DescribedPhoto(NamedTuple):
    """A photo on the page, its number there, its open fields, and whether they are a guess."""

    photo: Photo
    number: int
    fields: list[forms.BoundField]
    is_guess: bool


class DescribeForm(GuardedForm):
    """For each of `photos` its subject, its view and its caption, all saved as one change.

    `guesses` propose what nobody has described yet, in the order of the rig; a proposal counts
    only once the form is sent.
    """

    kind = "photo"

    def __init__(
        self,
        rig: Rig,
        photos: Sequence[Photo],
        data: QueryDict | None = None,
        *,
        guesses: dict[UUID, Guess] | None = None,
    ) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.photos = list(photos)
        self.guesses = guesses or {}
        self.part_of: dict[str, tuple[Photo, str]] = {}
        subjects = _subjects(rig)
        # Compared with what the page showed, so that a field nobody touched takes no side.
        opened_on = as_of(rig, self.base) if self.base != rig.head_number else {}
        for photo in self.photos:
            self._add(photo, subjects, opened_on.get(str(photo.pk)))
        self.read_choices()

    def _add(self, photo: Photo, subjects: list[Any], opened_on: Any) -> None:
        known = opened_on or photo.fields()
        values = {name: str(known.get(name) or "") for name in NAMES}
        if not values["about"] and any(values.values()):
            values["about"] = WHOLE_RIG
        if guess := self.guesses.get(photo.pk):
            values |= guess._asdict()
        for name, field in _fields(subjects).items():
            key = f"{name}-{photo.pk}"
            self.fields[key], self.initial[key] = field, values[name]
            self.part_of[key] = (photo, name)

    def key(self, name: str) -> Key | None:
        found = self.part_of.get(name)
        return Key(str(found[0].pk), (found[1],)) if found else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        return self.cleaned_data

    def edits(self) -> list[Edit]:
        typed = set(self.typed())
        edits: list[Edit] = []
        for photo in self.photos:
            names = [name for name in NAMES if f"{name}-{photo.pk}" in typed]
            if names:
                edits.append(Set(str(photo.pk), "photo", self._values(photo, names)))
        return edits

    def _values(self, photo: Photo, names: list[str]) -> dict[str, Any]:
        said = {name: self.cleaned_data.get(f"{name}-{photo.pk}", "") for name in NAMES}
        values = {name: said[name] for name in names}
        if "about" in values:
            values["about"] = None if said["about"] in ("", WHOLE_RIG) else said["about"]
            # Otherwise nothing would tell it from a photo that nobody has described.
            if said["about"] == WHOLE_RIG and not (said["view"] or said["caption"]):
                values["view"] = Photo.View.OVERALL.value
        return values

    def again(self, conflict: Conflict) -> Self:
        photos = Photo.objects.filter(pk__in=[photo.pk for photo in self.photos])
        form = type(self)(conflict.rig, in_order(photos.select_related("image")))
        at_stake = [name for clash in conflict.clashes for name in self.fields_of(clash)]
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {name: form.now_text(name) for name in at_stake}
        form.retain_typed(self, self.typed())
        return form

    def panel_label(self, name: str) -> str:
        photo = self.part_of[name][0]
        return _("Photo {number}: {label}").format(
            number=self.photos.index(photo) + 1, label=self[name].label
        )

    @property
    def rows(self) -> list[DescribedPhoto]:
        """The photos in their order, each with its open fields."""
        shown = {field.name: field for field in self.open_fields}
        return [
            DescribedPhoto(
                photo,
                number,
                [shown[key] for name in NAMES if (key := f"{name}-{photo.pk}") in shown],
                photo.pk in self.guesses,
            )
            for number, photo in enumerate(self.photos, 1)
        ]


def _fields(subjects: list[Any]) -> dict[str, forms.Field]:
    return {
        "about": forms.ChoiceField(label=_("what it shows"), required=False, choices=subjects),
        "view": forms.ChoiceField(label=_("which view"), required=False, choices=VIEWS),
        "caption": forms.CharField(label="caption", required=False, max_length=200),
    }


def _subjects(rig: Rig) -> list[Any]:
    (_value, whole), *parts = about_choices(rig)
    return [("", _("not said yet")), (WHOLE_RIG, capfirst(whole)), *parts]


def guesses_for(rig: Rig, photos: Iterable[Photo]) -> dict[UUID, Guess]:
    """What those of `photos` that nobody described may show, by order: the whole rig, its units,
    its inputs, leaving out what has a photo. Three queries."""
    others = [p for p in Photo.objects.live().filter(rig=rig) if p.is_described]
    has_photo = {photo.about for photo in others}
    targets = [] if None in has_photo else [Guess(WHOLE_RIG, Photo.View.OVERALL)]
    for unit in in_order(Unit.objects.live().filter(rig=rig)):
        if unit.pk not in has_photo:
            targets.append(Guess(str(unit.pk), Photo.View.FRONT))
    for entry in in_order(Input.objects.live().filter(rig=rig)):
        if entry.pk not in has_photo:
            placed = entry.aimed_at or entry.distance_m is not None
            targets.append(Guess(str(entry.pk), Photo.View.MICROPHONE if placed else ""))
    waiting = [photo for photo in photos if not photo.is_described]
    return {photo.pk: guess for photo, guess in zip(waiting, targets, strict=False)}
