"""What a handover says of one rig as it stands: plain data, in words that need no other record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from core.durations import format_duration
from core.languages.choice import as_stored
from core.languages.words import each_of, leading, without_unit
from core.one_pass import once_a_pass
from core.units import Quantity, ohms_of_label, plain
from rigs.cautions import of_rig
from rigs.drawing.kit import kit_of
from rigs.drawing.placement import is_microphone, placed
from rigs.models import Device, StoredPhoto
from rigs.upkeep.cautions import cautions_for
from rigs.wording import (
    DifferenceView,
    FactView,
    InputView,
    LinkView,
    PhotoView,
    PinView,
    RigView,
    SceneView,
    SongView,
    Spec,
    UnitView,
)
from rigs.wording.lengths import length_data
from rigs.wording.placement import placement_data
from rigs.wording.quantities import quantity_data, value_data

Plain = dict[str, Any]


def sheet_of(view: RigView, figures: Mapping[str, list[Plain]], sums: Mapping[str, str]) -> Plain:
    """`figures` are those of devices, `sums` the SHA-256 of pictures, both by id. No queries."""
    return {
        "notes": view.notes,
        "cautions": cautions_of(view),
        "units": [_unit(unit) for unit in view.units],
        "links": [_link(link) for link in view.links],
        "inputs": [_input(each, figures) for each in view.inputs],
        "kit": _kit(view),
        "scenes": [scene_data(scene) for scene in view.scenes],
        "songs": [song_data(song) for song in view.songs],
        "photos": [_photo(photo, sums) for photo in view.all_photos()],
    }


def cautions_of(view: RigView) -> list[Plain]:
    """Cautions of the gear and of what is changed on it, each once, with what it is about."""
    about = {text: list(names) for text, names in of_rig(view)}
    for unit in view.units:
        for caution in cautions_for((spare.sort, spare.what) for spare in unit.spares):
            about.setdefault(caution.text, []).append(
                _("{caution} of {unit}").format(caution=caution.title, unit=unit.name)
            )
    return [{"about": ", ".join(names), "text": text} for text, names in about.items()]


def _unit(unit: UnitView) -> Plain:
    """A unit in plain data. Where it stands and travels is left out if it is not noted: a section
    that says nothing new of it keeps the digest by which its readers have read it."""
    places = {"stage": unit.stage_position, "case": unit.packed_in}
    return {
        **{name: place for name, place in places.items() if place},
        "id": unit.id,
        "name": unit.name,
        "gear": unit.gear_label,
        "make": unit.make,
        "serial": unit.serial,
        "tuning": unit.tuning,
        "notes": unit.notes,
        "controls": [{"name": each.name, "text": each.text} for each in unit.controls],
        "facts": [_fact(each) for each in unit.facts],
        "spares": [each.line for each in unit.spares],
    }


def _fact(fact: FactView) -> Plain:
    stated = value_data("fact", "value", str(fact.value), {"key": fact.key})
    return {"label": fact.label, **(stated or {"text": fact.text})}


def _link(link: LinkView) -> Plain:
    return {
        "source": link.source_name,
        "target": link.target_name,
        "cable": link.cable,
        "connectors": link.connectors,
        "length": length_data(link.length),
        "sockets": [link.from_socket, link.to_socket],
        "carries": link.carries_label,
    }


def _input(each: InputView, figures: Mapping[str, list[Plain]]) -> Plain:
    device = each.device
    return {
        "id": each.id,
        "number": each.number,
        "name": each.name,
        "unit": each.heard,
        "device": device
        and {
            "name": device.name,
            "principle": device.principle_label,
            "pattern": device.pattern_label,
            "needs_phantom": device.phantom,
            "figures": figures.get(device.id, []),
        },
        "placement": dict(placement_data(each.known)),
        "problem": placed(each).problem if is_microphone(each) else "",
        "phantom": each.phantom,
        "stand": each.stand,
        "notes": each.notes,
        "specs": [
            _spec(each, spec)
            for spec in each.specs
            # These have keys of their own above.
            if spec.field not in ("device", "phantom", "notes", "stand", "unit")
        ],
    }


def _spec(entry: InputView, spec: Spec) -> Plain:
    """A quantity as such, any other setting in words."""
    stated = value_data("input", spec.field, entry.known.get(spec.field), entry.known)
    return {"label": spec.label, **(stated or {"text": spec.text})}


def _photo(photo: PhotoView, sums: Mapping[str, str]) -> Plain:
    return {
        "id": photo.id,
        "image": photo.image,
        "sha256": sums.get(photo.image, ""),
        "caption": photo.caption,
        "about": photo.about_name,
        "alternative": photo.alternative,
        "pins": [_pin(pin) for pin in photo.pins],
    }


def _pin(pin: PinView) -> Plain:
    """Its place as fractions of the picture, in words: canonical JSON has one spelling of those."""
    return {"number": pin.number, "x": plain(pin.x), "y": plain(pin.y), "legend": pin.legend}


def _kit(view: RigView) -> Plain | None:
    """Where the microphones of a drum kit are, from the snare's centre; None without a kit."""
    kit = kit_of(view)
    if not (kit.is_drawn or kit.lacking):
        return None
    return {
        "mics": [
            {
                "name": mic.entry.label,
                "key": mic.key,
                "right": length_data(mic.right_length),
                "front": length_data(mic.front_length),
                "from_snare": length_data(mic.plan_length),
                "tape": length_data(mic.tape_length),
            }
            for mic in kit.mics
        ],
        "lines": [*kit.problems, *kit.pairs],
        "lacking": list(kit.lacking),
    }


def scene_data(scene: SceneView) -> Plain:
    """A scene with the unit that recalls it and all that it sets."""
    title = _("{scene} on {unit}").format(scene=scene.label, unit=scene.unit_name)
    return {"title": title, "line": scene.line}


def song_data(song: SongView) -> Plain:
    return {"title": song.title, "lines": [_difference(each) for each in song.differences]}


def _difference(each: DifferenceView) -> Plain:
    """“Head, Gain”, “3:00”, usually “2:30”; a cue by its moment."""
    moment = " ".join(filter(None, (each.section, format_duration(each.at_s))))
    labels = {
        "instrument": _("Instrument"),
        "scene": _("Scene on {unit}").format(unit=each.unit_name),
        "scene_change": moment,
        "tuning": _("Tuning of {unit}").format(unit=each.name),
        "input": each.name,
        "control": each_of((each.unit_name, each.name)),
        "cue": _("Cue, {moment}").format(moment=moment) if moment else _("Cue"),
        "midi": leading(moment, _("MIDI to {unit}").format(unit=each.name)),
    }
    return {"label": labels.get(each.what, each.name), "text": each.text, "usual": each.usual}


def sums_of(images: Iterable[str]) -> dict[str, str]:
    sums = list(images)
    rows = StoredPhoto.objects.filter(pk__in=sums).values_list("pk", "sha256") if sums else []
    return {str(pk): digest for pk, digest in rows}


_FIGURES = ("sensitivity_mv_pa", "max_spl_db", "self_noise_db", "impedance_ohm")


def figures_of(production: UUID) -> dict[str, list[Plain]]:
    """The figures on file of each device: “maximum SPL”, 135 dB. One query."""
    labels = {name: Device._meta.get_field(name).verbose_name for name in _FIGURES}  # type: ignore[union-attr]
    with as_stored():
        # The name of the column is its label and its unit: “maximum SPL, dB”.
        units = {name: str(label).split(", ")[1] for name, label in labels.items()}
    return {
        str(row["pk"]): [
            {"label": without_unit(str(label)), **quantity_data(_figure(row[name], units[name]))}
            for name, label in labels.items()
            if row[name] is not None
        ]
        for row in _stated(production)
    }


@once_a_pass
def _stated(production: UUID) -> list[Plain]:
    return list(Device.objects.filter(production=production).values("pk", *_FIGURES))


def _figure(value: Decimal, unit: str) -> Quantity:
    return ohms_of_label(value) if unit == "Ω" else Quantity(value, unit)
