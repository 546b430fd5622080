"""Take a part out of a rig together with what belongs to it, and bring it back with that.

`retired_parts` lists what was taken out and can come back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from collections.abc import Set as SetOf
from typing import TYPE_CHECKING
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of, each_of
from rigs.changes.edits import WHOLE, Add, Edit, Retire, Set
from rigs.editing.latest import last_retirement
from rigs.models import (
    ChangeRow,
    Control,
    Fact,
    Group,
    Input,
    Link,
    Member,
    Part,
    Photo,
    Pin,
    Revision,
    Rig,
    Scene,
    SceneEntry,
    SongSetting,
    Source,
    Spare,
    Unit,
)
from rigs.revisions.record import record
from rigs.revisions.references import PART_POINTERS, POINTED_AT, in_use
from rigs.revisions.scenes import identity_in_scene
from rigs.revisions.songs import identity_of
from rigs.revisions.sources import inputs_picking_up
from rigs.wording.names import numbered

if TYPE_CHECKING:
    from core.models import User
from dataclasses import dataclass
from typing import Any


def retire_edits(part: Part | Rig) -> list[Edit]:
    """The edits that put `part` away. Raises ValidationError where inputs still hear a unit or a
    group of them."""
    if isinstance(part, Rig):
        return [Set(str(part.pk), "rig", {"retired": True})]
    if isinstance(part, Unit | Group):
        _refuse_if_heard(part)
    # The part itself comes last, after all that points at it.
    gone = [*belongings(part), part]
    return [Retire(str(p.pk), p.KIND) for p in gone]


def belongings(part: Part) -> list[Part]:
    """What leaves with a part.

    With a unit its controls, figures, spares, scenes, cables, photos and places in groups, with a
    scene what it sets, with an input its photos and sources, with a group its members; with
    anything the pins on it or at it, and what songs and scenes say of it.
    """
    parts = [*_song_settings(part), *_scene_entries(part)]
    if isinstance(part, Unit):
        parts += Scene.objects.live().filter(unit=part)
        for model in (Control, Fact, Spare):
            parts += model.objects.live().filter(unit=part)
        ends = Q(source=part) | Q(target=part)
        parts += Link.objects.live().filter(ends).select_related("source", "target")
    if isinstance(part, Unit | Group):
        of_it = Q(**{part.KIND: part})
        parts += Member.objects.live().filter(of_it).select_related("unit", "group")
    if isinstance(part, Input):
        parts += Source.objects.live().filter(input=part).select_related("input", "unit", "group")
    if isinstance(part, Unit | Input):
        parts += Photo.objects.live().filter(rig=part.rig_id, about=part.pk)
    leaving = [p.pk for p in (*parts, part)]
    at_it = Q(photo__in=leaving) | Q(about__in=leaving)
    pins = Pin.objects.live().filter(at_it, rig=part.rig_id).exclude(pk=part.pk)
    return [*pins.select_related("photo"), *parts]


def names_of(parts: Iterable[Part | Rig]) -> dict[UUID, str]:
    """What each is called before it is put away; a pin by its number and what it points at: “pin 2,
    Gain”. Four queries more where there are pins."""
    parts = list(parts)
    pins = [part for part in parts if isinstance(part, Pin)]
    pin_names = _pin_names(pins) if pins else {}
    return {part.pk: pin_names.get(part.pk) or str(part) for part in parts}


_WITH_IT = {
    "unit": gettext_lazy("Unit “{name}”"),
    "control": gettext_lazy("Control “{name}”"),
    "link": gettext_lazy("Cable “{name}”"),
    "fact": gettext_lazy("Figure “{name}”"),
    "spare": gettext_lazy("Spare “{name}”"),
    "input": gettext_lazy("Input “{name}”"),
    "source": gettext_lazy("Source “{name}”"),
    "group": gettext_lazy("Group “{name}”"),
    "member": gettext_lazy("Member “{name}”"),
    "photo": gettext_lazy("Photo “{name}”"),
    "scene": gettext_lazy("Scene “{name}”"),
}


def along_words(part: Part, name: str) -> str:
    """A part that leaves with another one: “Control “Gain””. The name of a pin or of what a song
    or a scene sets says what it is."""
    words = _WITH_IT.get(part.KIND)
    return str(words).format(name=name) if words else capfirst(name)


def _pin_names(pins: list[Pin]) -> dict[UUID, str]:
    about = {pin.about for pin in pins} - {None}
    targets = {
        part.pk: str(part)
        for model in (Unit, Control, Input)
        for part in model.objects.filter(pk__in=about)
    }
    there = Pin.objects.live().filter(photo__in={pin.photo_id for pin in pins})
    number = numbered(
        (str(pk), {"photo": str(photo), "position": at})
        for pk, photo, at in there.values_list("pk", "photo", "position")
    )
    names = {}
    for pin in pins:
        words = [targets.get(pin.about) if pin.about else None, pin.words]
        description = each_of(words)
        names[pin.pk] = (
            _("pin {number}, {what}").format(number=number[str(pin.pk)], what=description)
            if str(pin.pk) in number
            else description
        )
    return names


def _song_settings(part: Part) -> list[Part]:
    if not isinstance(part, Unit | Control | Input | Scene):
        return []
    about = Q(**{part.KIND: part})
    if isinstance(part, Unit):
        about |= Q(control__unit=part)
    settings = SongSetting.objects.live().filter(about)
    return list(settings.select_related("song", "control", "unit", "input", "scene"))


def _scene_entries(part: Part) -> list[Part]:
    if not isinstance(part, Unit | Control | Scene):
        return []
    about = Q(**{part.KIND: part})
    if isinstance(part, Unit):
        about |= Q(control__unit=part) | Q(scene__unit=part)
    settings = SceneEntry.objects.live().filter(about)
    return list(settings.select_related("scene", "control", "unit"))


def _refuse_if_heard(unit: Unit | Group) -> None:
    inputs = [str(entry) for entry in inputs_picking_up(unit)]
    if inputs:
        raise ValidationError(
            _(
                "“{unit}” is still heard by {inputs}. Let that take its sound from "
                "something else, or retire it first."
            ).format(unit=unit, inputs=_(", ").join(inputs))
        )


def bring_back(*, rig: Rig, part: Part | Rig, author: User) -> Revision | None:
    """Undo the retiring of `part`, with what left together with it. None if it is in use.

    Raises ValidationError where what it points at has gone meanwhile.
    """
    edits = [Set(str(rig.pk), "rig", {"retired": False})] if isinstance(part, Rig) else _adds(part)
    return record(rig, edits, author=author, base=rig.head_number)


def _adds(part: Part) -> list[Edit]:
    if not part.retired:
        return []
    last = last_retirement(part)
    if last is None:  # pragma: no cover - a retired part has a change that retired it
        return []
    together = _gone(revision=last.revision_id)
    coming = _coming_along(part, _without_restated(part, list(together)))
    return [
        Add(str(row.part), row.kind, {k: v for k, v in row.old.items() if k != "kind"})
        for row in [*coming, *_cables_left(part, last.revision_id)]
    ]


def _gone(**where: object) -> QuerySet[ChangeRow]:
    return ChangeRow.objects.filter(field=WHOLE, new_json="null", **where)


def _cables_left(part: Part, revision: int) -> Iterator[ChangeRow]:
    """Cables of a unit that left earlier, with the unit at their other end, which is back by now.
    One that somebody retired by itself stays away."""
    if not isinstance(part, Unit):
        return
    ends = Q(source=part, target__retired=False) | Q(target=part, source__retired=False)
    for cable in Link.objects.filter(ends, retired=True).order_by("position"):
        last = last_retirement(cable)
        if last is None or last.revision_id == revision:
            continue
        if _gone(revision=last.revision_id, part__in=[cable.source_id, cable.target_id]).exists():
            yield last


def _without_restated(part: Part, rows: list[ChangeRow]) -> list[ChangeRow]:
    """The rows without settings that a song or scene has been given anew since: the newer one
    stays."""
    kept = rows
    for model, identity in _RESTATED:
        if any(row.kind == model.KIND for row in rows):
            live = model.objects.live().filter(rig=part.rig_id)
            # What has no identity, such as a cue, is never said anew.
            stated = {identity(row.fields()) for row in live} - {None}
            kept = [r for r in kept if r.kind != model.KIND or identity(r.old) not in stated]
    return kept


# Kinds of part of which there is one for each thing, and what that is.
_RESTATED: tuple[tuple[type[Part], Callable[[Any], Any]], ...] = (
    (SongSetting, identity_of),
    (SceneEntry, identity_in_scene),
)


def _coming_along(part: Part, together: list[ChangeRow]) -> list[ChangeRow]:
    """The part's own row, and those of what belonged to it or to what comes along: a unit's photo,
    and the pins on that. A cable whose other end is gone stays away."""
    here = {str(part.pk), *_in_use(part.rig_id)}
    back = {str(row.part): row for row in together if row.part == part.pk}
    # Again and again, since a pin comes back only after its photo, and that after its unit.
    while True:
        more = {
            str(row.part): row
            for row in together
            if str(row.part) not in back and _belongs(row, back.keys(), here | back.keys())
        }
        if not more:
            return list(back.values())
        back |= more


def _in_use(rig: UUID) -> Iterator[str]:
    """The ids of everything in the rig that something can point at: a query for each kind."""
    for kind in POINTED_AT:
        yield from (str(pk) for pk in in_use(kind, rig).values_list("pk", flat=True))


def _belongs(row: ChangeRow, back: SetOf[str], here: SetOf[str]) -> bool:
    """Whether it points at something that comes back, and at nothing that stays retired."""
    points_at = [row.old[name] for name in PART_POINTERS.get(row.kind, ()) if row.old.get(name)]
    return not back.isdisjoint(points_at) and here >= set(points_at)


@dataclass(frozen=True, slots=True)
class Away:
    """A retired part. `waits_for` names what has to come back first; empty where nothing has."""

    part: Part
    words: str
    waits_for: str = ""

    @property
    def retire_url_name(self) -> str:
        return f"rigs:{self.part.KIND}_retire"


@dataclass(frozen=True, slots=True)
class RetiredGroup:
    heading: str
    parts: tuple[Away, ...]


def retired_parts(rig: Rig) -> list[RetiredGroup]:
    """Everything of `rig` that is retired and has a way back of its own. Seven queries.

    Figures, pins and what songs and scenes said come back with what they belong to.
    """
    groups = (
        (_("Units"), (Away(u, u.get_gear_display()) for u in _of(Unit, rig))),
        (_("Cables"), _cables(rig)),
        (
            _("Inputs"),
            (Away(i, _unit_of(i.unit), _waits([i.unit])) for i in _of(Input, rig, "unit")),
        ),
        (_("Groups of units"), (Away(group, "") for group in _of(Group, rig))),
        (_("Controls"), _belonging(_of(Control, rig, "unit"))),
        (_("What wears"), _belonging(_of(Spare, rig, "unit"))),
        (_("Scenes"), _belonging(_of(Scene, rig, "unit"))),
        (_("Photos"), (Away(photo, "") for photo in _of(Photo, rig))),
    )
    made = (RetiredGroup(heading, tuple(away)) for heading, away in groups)
    return [group for group in made if group.parts]


def _of(model: type[Part], rig: Rig, *along: str) -> Iterable[Any]:
    rows = model.objects.filter(rig=rig, retired=True).order_by("position", "pk")
    return rows.select_related(*along) if along else rows


def _cables(rig: Rig) -> Iterator[Away]:
    for link in _of(Link, rig, "source", "target"):
        described = [link.cable, link.connectors, link.get_carries_display()]
        yield Away(link, each_of(described), _waits([link.source, link.target]))


def _belonging(parts: Iterable[Any]) -> Iterator[Away]:
    for part in parts:
        yield Away(part, _unit_of(part.unit), _waits([part.unit]))


def _unit_of(unit: Unit | None) -> str:
    return _("of {unit}").format(unit=unit) if unit else ""


def _waits(units: Iterable[Unit | None]) -> str:
    return all_of(f"“{unit}”" for unit in units if unit is not None and unit.retired)
