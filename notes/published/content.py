"""All that a published handover says, as plain data that needs no other record to be read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from core.models import Leg, Show, User
from core.units import format_both, plain
from notes.handover.period import Period, period_of
from notes.published.state import Found, general, section
from notes.published.told import changes_data
from notes.signing.since import NONE, since
from rigs.cautions import of_rig
from rigs.checks.accepting import Told, told
from rigs.checks.showing import shown
from rigs.describing import InputView, LinkView, PhotoView, RigView, UnitView, snapshot_view
from rigs.models import Device, StoredPhoto
from rigs.revisions.chain import canonical, sha256
from rigs.revisions.read import live
from rigs.revisions.writer import iso
from rigs.upkeep.cautions import cautions_for

Plain = dict[str, Any]
SCHEMA = 1
GENERAL = "general"
# What says when and by whom rather than what: not asked when two are compared for being the same.
_OCCASION = frozenset({"number", "previous", "at", "by", "between", "id"})


def content_of(found: Found) -> Plain:
    """The whole handover without number, time and author. Queries grow with the rigs."""
    leg, period = found.leg, period_of(found.leg)
    return {
        "schema": SCHEMA,
        "production": {"id": str(leg.production_id), "name": leg.production.name},
        "leg": _leg(leg),
        "period": {
            "leg": str(period.previous) if period.previous else "",
            "since": iso(period.since) if period.since else None,
        },
        GENERAL: general(found.handover),
        "sections": _sections(found, period),
    }


def same(one: Plain, other: Plain) -> bool:
    """Whether two say the same, whoever published them and when."""
    return canonical(_lasting(one)) == canonical(_lasting(other))


def _lasting(content: Plain) -> Plain:
    return {key: value for key, value in content.items() if key not in _OCCASION}


def outline_of(content: Plain) -> list[Plain]:
    """Key, player, title and digest of each section, the general part first."""
    common = {key: content[key] for key in (GENERAL, "leg")}
    first = {"key": GENERAL, "player": None, "title": "General part", "digest": _digest(common)}
    return [
        first,
        *(
            {
                "key": each["key"], "player": each["player"]["id"],
                "title": each["player"]["name"], "digest": _digest(each),
            }
            for each in content["sections"]
        ),
    ]  # fmt: skip


def _digest(part: Plain) -> str:
    return sha256(canonical(part))


def stamped(content: Plain, *, number: int, previous: str | None, by: User, at: str) -> Plain:
    """`previous` is the digest of the one published before, which chains the two."""
    who = {"id": str(by.pk), "name": by.name}
    return {**content, "number": number, "previous": previous, "by": who, "at": at}


def _leg(leg: Leg) -> Plain:
    return {
        "id": str(leg.pk),
        "name": leg.name,
        "starts_on": leg.starts_on.isoformat(),
        "ends_on": leg.ends_on.isoformat(),
        "notes": leg.notes,
        "shows": [_show(show) for show in leg.shows.filter(retired_at=None)],
    }


def _show(show: Show) -> Plain:
    mixed_at = show.mix_distance_m
    return {
        "held_on": show.held_on.isoformat(), "room": show.room, "town": show.town,
        "mix": "" if mixed_at is None else format_both(mixed_at, show.mix_distance_unit),
        "notes": show.notes,
    }  # fmt: skip


def _sections(found: Found, period: Period) -> list[Plain]:
    changed = since(found.rigs, period.known([rig.pk for rig in found.rigs]))
    findings, figures = told(found.rigs), _figures(found.leg.production_id)
    sections = [section(found, player) for player in found.players]
    by_id = {str(rig.pk): rig for rig in found.rigs}
    for entry in (entry for each in sections for entry in each["rigs"]):
        rig = by_id[entry["id"]]
        view = snapshot_view(rig, live(rig))
        entry |= _whole(view, figures)
        entry |= {
            "is_new": period.previous is not None and period.covers(rig.made_at),
            "changes": changes_data(changed.get(rig.pk, NONE)),
            "findings": _findings(findings[rig.pk]),
        }
    return sections


def _whole(view: RigView, figures: dict[str, list[Plain]]) -> Plain:
    photos = list(view.all_photos())
    sums = _sums(photo.image for photo in photos)
    return {
        "notes": view.notes,
        "cautions": _cautions(view),
        "units": [_unit(unit) for unit in view.units],
        "links": [_link(link) for link in view.links],
        "inputs": [_input(each, figures) for each in view.inputs],
        "photos": [_photo(photo, sums) for photo in photos],
    }


def _cautions(view: RigView) -> list[Plain]:
    """Those of the gear and of what is changed on it, each once, with what it is about."""
    about = {text: list(names) for text, names in of_rig(view)}
    for unit in view.units:
        for caution in cautions_for(spare.sort for spare in unit.spares):
            about.setdefault(caution.text, []).append(f"{caution.title} of {unit.name}")
    return [{"about": ", ".join(names), "text": text} for text, names in about.items()]


def _unit(unit: UnitView) -> Plain:
    return {
        "id": unit.id, "name": unit.name, "gear": unit.gear_label, "make": unit.make,
        "serial": unit.serial, "tuning": unit.tuning, "notes": unit.notes,
        "controls": [{"name": each.name, "text": each.text} for each in unit.controls],
        "facts": [{"label": each.label, "text": each.text} for each in unit.facts],
        "spares": [each.line for each in unit.spares],
    }  # fmt: skip


def _link(link: LinkView) -> Plain:
    return {
        "source": link.source_name, "target": link.target_name, "name": link.name,
        "sockets": [link.from_socket, link.to_socket], "carries": link.carries_label,
    }  # fmt: skip


def _input(each: InputView, figures: dict[str, list[Plain]]) -> Plain:
    device = each.device
    return {
        "id": each.id, "number": each.number, "name": each.name, "unit": each.unit_name,
        "device": device and {
            "name": device.name, "principle": device.principle_label,
            "pattern": device.pattern_label, "needs_phantom": device.phantom,
            "figures": figures.get(device.id, []),
        },
        "where": _where(each), "phantom": each.phantom, "stand": each.stand, "notes": each.notes,
        "specs": [
            {"label": spec.label, "text": spec.text}
            for spec in each.specs
            if spec.field not in ("device", "phantom", "notes", "stand", "unit")
        ],
    }  # fmt: skip


def _where(each: InputView) -> str:
    """Where it stands, in one line."""
    told_of = [each.aimed_at]
    if each.distance_text:
        start = f" from {each.reference_point}" if each.reference_point else ""
        told_of.append(f"{each.distance_text}{start}")
    if each.angle_text:
        told_of.append(f"{each.angle_text} off axis")
    return ", ".join(text for text in told_of if text)


def _photo(photo: PhotoView, sums: dict[str, str]) -> Plain:
    return {
        "id": photo.id, "image": photo.image, "sha256": sums.get(photo.image, ""),
        "caption": photo.caption, "about": photo.about_name, "alternative": photo.alternative,
    }  # fmt: skip


def _sums(images: Iterable[str]) -> dict[str, str]:
    wanted = list(images)
    rows = StoredPhoto.objects.filter(pk__in=wanted).values_list("pk", "sha256") if wanted else []
    return {str(pk): digest for pk, digest in rows}


_FIGURES = ("sensitivity_mv_pa", "max_spl_db", "self_noise_db", "impedance_ohm")


def _figures(production: UUID) -> dict[str, list[Plain]]:
    """The figures on file of each device, as they read: “maximum SPL, dB”, “135”."""
    labels = {name: str(Device._meta.get_field(name).verbose_name) for name in _FIGURES}  # type: ignore[union-attr]
    rows = Device.objects.filter(production=production).values("pk", *_FIGURES)
    return {
        str(row["pk"]): [
            {"label": labels[name], "text": plain(row[name])}
            for name in _FIGURES
            if row[name] is not None
        ]
        for row in rows
    }


def _findings(found: list[Told]) -> list[Plain]:
    """What the checks found and nobody accepted."""
    return [
        {
            "severity": each.finding.severity.value, "title": each.finding.title,
            "why": each.finding.why, "mend": each.finding.mend, "sure": each.finding.sure.value,
        }
        for each in shown(found).open
    ]  # fmt: skip


def known_revisions(content: Plain) -> dict[str, int]:
    """The number of the revision that each rig was at."""
    return {rig["id"]: rig["revision"] for each in content["sections"] for rig in each["rigs"]}


def rigs_of(content: Plain) -> list[Plain]:
    return [rig for each in content["sections"] for rig in each["rigs"]]
