"""Read what travels from the rigs and the catalogue of microphones."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import Sum
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from core.languages.choice import as_stored
from core.models import Production
from rigs.carnet.by_hand import Kind, lines_of, not_counted
from rigs.carnet.goods import Case, Goods, Picture, Sums, as_rows, in_cases, missing, sums_of
from rigs.lists.cases import Figures, with_kind
from rigs.lists.input_list import inputs_of
from rigs.lists.pack import by_unit, kind_of, kind_of_device, make_of
from rigs.lists.sizes import PACKED, SIZES, packed_size
from rigs.lists.state import ListState, state_of
from rigs.models import Device, Fact, Input, Link, Photo, Spare, Unit

# Which photo a customs officer recognises a thing by, the best first.
_VIEWS = (Photo.View.OVERALL, Photo.View.FRONT, "")


@dataclass(slots=True)
class Carnet:
    """The list: its cases, what lines lack, and what is not on it, in sentences."""

    cases: list[Case]
    missing: list[str]
    not_listed: list[str] = field(default_factory=list)

    @property
    def goods(self) -> list[Goods]:
        return [each for case in self.cases for each in case.goods]

    @property
    def sums(self) -> Sums:
        return sums_of(self.goods)


def carnet_of(
    production: Production,
    variants: Sequence[str] = ("main",),
    rigs: Collection[UUID] | None = None,
) -> Carnet:
    """The units of the live rigs of those variants, or of `rigs` in their place, as many of each
    microphone and DI as their inputs need, and what was written for the list. A dozen queries,
    however many."""
    chosen = {"rig__variant__in": variants} if rigs is None else {"rig__in": rigs}
    live = {"rig__production": production, "rig__retired": False, **chosen}
    inputs = inputs_of(production, variants, rigs)
    units = list(
        Unit.objects.live()
        .filter(**live)
        .select_related("rig__player")
        .order_by("rig__player__position", "rig__name", "position", "pk")
    )
    travelling = [unit for unit in units if not unit.traits.person]
    facts = Fact.objects.live().filter(key__in=("weight", *SIZES, *PACKED), **live)
    figures = {(unit, key): value for unit, key, value in facts.values_list("unit", "key", "value")}
    photos = _photos(Photo.objects.live().filter(**live).order_by("position"))
    counted = Counter(entry.device for entry in inputs if entry.device is not None)
    hired = [device for device in counted if device.owned == 0]
    counts = _counts(inputs, live)
    by_hand = list(lines_of(production, counts))
    goods = [
        *_of_units(travelling, figures, photos, production.pk),
        *(_of_device(device, pieces) for device, pieces in counted.items() if device not in hired),
        *by_hand,
    ]
    return Carnet(in_cases(goods), missing(goods), _not_listed(not_counted(by_hand, counts), hired))


def _photos(photos: Iterable[Photo]) -> dict[UUID, Picture]:
    """The photo of each unit that shows most of it."""
    best: dict[UUID, Photo] = {}
    for photo in photos:
        if photo.about is None:
            continue
        known = best.get(photo.about)
        if known is None or _rank(photo) < _rank(known):
            best[photo.about] = photo
    return {
        about: Picture(str(photo.pk), str(photo.image_id), str(photo.rig_id), str(photo))
        for about, photo in best.items()
    }


def _rank(photo: Photo) -> int:
    return _VIEWS.index(photo.view) if photo.view in _VIEWS else len(_VIEWS)


def _of_units(
    units: Sequence[Unit], figures: Figures, photos: dict[UUID, Picture], production: UUID
) -> list[Goods]:
    own = by_unit(figures)
    return [
        Goods(
            name=unit.name,
            what=with_kind(make_of(unit), kind_of(unit, own.get(unit.pk, {}))),
            packed_in=unit.packed_in,
            serials=(unit.serial,) if unit.serial else (),
            country=unit.country_of_origin,
            worth=unit.worth,
            currency=unit.currency,
            kg=figures.get((unit.pk, "weight")),
            size=packed_size(own.get(unit.pk, {})),
            photo=photos.get(unit.pk),
            address=reverse("rigs:unit", args=[production, unit.rig_id, unit.pk]),
        )
        for unit in units
    ]


def _of_device(device: Device, pieces: int) -> Goods:
    return Goods(
        name=device.name,
        what=with_kind(str(device), _kind_of_device(device)),
        packed_in=device.packed_in,
        pieces=pieces,
        serials=tuple(device.serial_numbers),
        country=device.country_of_origin,
        worth=None if device.worth is None else device.worth * pieces,
        currency=device.currency,
        kg=None if device.weight_kg is None else device.weight_kg * pieces,
        has_size=False,
        address=reverse("rigs:device", args=[device.production_id, device.pk]),
    )


def _kind_of_device(device: Device) -> str:
    """“microphone, moving coil, cardioid”, “DI, active”."""
    kind = kind_of_device(device)
    return kind if device.form == Device.Form.DI else f"{device.get_form_display()}, {kind}"


def _counts(inputs: Sequence[Input], live: dict[str, object]) -> dict[str, int]:
    """What travels beside units and microphones, by the kinds of lines that are written by hand."""
    cables = Link.objects.live().filter(**live).exclude(carries=Link.Carries.RADIO).count()
    carried = Spare.objects.live().filter(**live, carried__gt=0)
    return {
        Kind.STANDS: sum(bool(entry.stand) for entry in inputs),
        Kind.LEADS: sum(entry.device is not None for entry in inputs),
        Kind.CABLES: cables,
        Kind.SPARES: carried.aggregate(carried=Sum("carried"))["carried"] or 0,
    }


def _not_listed(named: Sequence[str], hired: Sequence[Device]) -> list[str]:
    """What travels, or may, and has no line here."""
    said = []
    if named:
        things = _(", ").join(named)
        said.append(_("Not on this list yet: {things}. Add goods for them.").format(things=things))
    if hired:
        names = _(", ").join(str(device) for device in hired)
        said.append(_("Left out, because they are always hired: {names}.").format(names=names))
    return said


def state_of_carnet(
    carnet: Carnet,
    production: Production,
    variants: Sequence[str],
    rigs: Collection[UUID] | None = None,
) -> ListState:
    """What a print was made from: the rigs, and every cell, since microphones have no history."""
    of_rigs = state_of(production, variants, rigs=rigs)
    read_in = get_language()
    # The same in whatever language the list is read: its words would tell another state.
    with as_stored():
        if get_language() != read_in:
            carnet = carnet_of(production, variants, rigs)
        cells = json.dumps([of_rigs.digest, as_rows(carnet.cases)])
    return of_rigs._replace(digest=hashlib.sha256(cells.encode()).hexdigest())
