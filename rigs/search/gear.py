"""What can be found of gear: rigs, units with their controls, inputs, devices, photos with their
pins; and how a rig should sound. What is retired can be found too, and says so."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from django.db.models import Prefetch, Q, QuerySet
from django.urls import reverse

from core.models import SearchEntry
from core.places import IndexEntry
from rigs.changes.edits import Value
from rigs.fields import PartField, ValueKind, searched_of
from rigs.models import Control, Device, Input, Photo, Pin, Rig, Scene, Spare, Tracked, Unit
from rigs.revisions.sources import heard_of, with_heard
from rigs.wording import fields

GEAR_KIND, WORDS = SearchEntry.Kind.GEAR, SearchEntry.Kind.PEOPLE
# A setting that is worth finding has letters: “slow”, “Strings 2”; 2:30, 6.5 and −12 are not.
LETTERS = re.compile(r"[^\W\d_]")
# In the title of the entry already, or what says whose entry it is.
_IN_TITLE = frozenset({"name", "number", "unit"})


def rigs(rigs: QuerySet[Rig]) -> Iterator[IndexEntry]:
    for rig in rigs.select_related("player"):
        path = reverse("rigs:rig", args=[rig.production_id, rig.pk])
        body = _text(rig.player.name, rig.player.instrument, rig.get_variant_display(), rig.notes)
        title = _marked(rig.name, rig.retired)
        yield IndexEntry(rig.production_id, GEAR_KIND, rig.pk, title, body, path, rig.made_at)
        # Emptied words stay in the index as nothing, rather than as what they were.
        title = _marked(f"How {rig.name} should sound", rig.retired)
        sound = title if rig.sound else ""
        yield IndexEntry(rig.production_id, WORDS, rig.pk, sound, rig.sound, path, rig.made_at)


def units(where: Q) -> Iterator[IndexEntry]:
    controls = Prefetch("controls", Control.objects.live().order_by("position"))
    spares = Prefetch("spares", Spare.objects.live().order_by("position"))
    scenes = Prefetch("scenes", Scene.objects.live().order_by("position"))
    units = Unit.objects.filter(where).select_related("rig")
    units = units.prefetch_related(controls, spares, scenes)
    for unit in units:
        rig: Rig = unit.rig
        path = reverse("rigs:unit", args=[rig.production_id, rig.pk, unit.pk])
        settings = (_control(control) for control in unit.controls.all())
        body = _text(
            *words_of(unit),
            "; ".join(settings),
            "; ".join(" ".join(words_of(spare)) for spare in unit.spares.all()),
            "; ".join(f"scene {scene}" for scene in unit.scenes.all()),
        )
        title = _marked(f"{unit.name} · {rig.name}", unit.retired or rig.retired)
        yield IndexEntry(rig.production_id, GEAR_KIND, unit.pk, title, body, path, rig.made_at)


def _control(control: Control) -> str:
    spoken = LETTERS.search(control.setting)
    return f"{control.name} {control.setting}" if spoken else control.name


def words_of(part: Tracked) -> list[str]:
    """What of a part is in the index beside its own name, by its rows."""
    known = part.fields()
    return [
        text
        for row in searched_of(part.KIND)
        if row.name not in _IN_TITLE and (text := _word(part, row, known))
    ]


def _word(part: Tracked, row: PartField, known: Mapping[str, Value]) -> str:
    if row.kind is ValueKind.POINTER:
        return str(getattr(part, row.name) or "")
    return fields.text(part.KIND, row.name, known.get(row.name), known)


def inputs(where: Q) -> Iterator[IndexEntry]:
    """Those by their own words, and by the name of everything that they pick up."""
    entries = list(Input.objects.filter(where).select_related("rig", "device"))
    with_heard(entries)
    for entry in entries:
        rig: Rig = entry.rig
        path = reverse("rigs:input", args=[rig.production_id, rig.pk, entry.pk])
        heard = heard_of(entry)
        names = dict.fromkeys([*heard.chosen_names, *heard.unit_names])
        picks_up = "" if heard.is_plain else f"Picks up {', '.join(names)}"
        body = _text(*words_of(entry), picks_up)
        title = _marked(f"{entry} · {rig.name}", entry.retired or rig.retired)
        yield IndexEntry(rig.production_id, GEAR_KIND, entry.pk, title, body, path, rig.made_at)


def photos(where: Q) -> Iterator[IndexEntry]:
    """Those with words, by their captions and by what pins on them say."""
    pins = Prefetch("pins", Pin.objects.live().exclude(words="").order_by("position"))
    for photo in Photo.objects.filter(where).select_related("rig").prefetch_related(pins):
        rig: Rig = photo.rig
        path = reverse("rigs:photo", args=[rig.production_id, rig.pk, photo.pk])
        body = "; ".join(pin.words for pin in photo.pins.all())
        title = _marked(f"{photo.caption or 'Photo'} · {rig.name}", photo.retired or rig.retired)
        # Emptied words stay in the index as nothing, rather than as what they were.
        title = title if photo.caption or body else ""
        kind = SearchEntry.Kind.PHOTO
        yield IndexEntry(rig.production_id, kind, photo.pk, title, body, path, rig.made_at)


def devices(devices: Iterable[Device]) -> Iterator[IndexEntry]:
    for device in devices:
        path = reverse("rigs:device", args=[device.production_id, device.pk])
        body = _text(
            device.get_form_display(),
            device.get_principle_display(),
            device.get_pattern_display() if device.pattern else "",
            ", ".join(device.serial_numbers),
            device.notes,
        )
        title = _marked(str(device), device.is_retired)
        yield IndexEntry(device.production_id, GEAR_KIND, device.pk, title, body, path)


def _text(*parts: str) -> str:
    return ". ".join(part.strip().rstrip(".") for part in parts if part.strip())


def _marked(title: str, retired: bool) -> str:
    return f"{title} (retired)" if retired else title
