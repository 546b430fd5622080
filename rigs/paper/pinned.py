"""Photos with pins for paper: the numbers over the picture, the legend below it.

`pinned_photos` is for any sheet; `typ/photo.typ` sets what it gives.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _
from PIL import Image

from core.stored_files import StoredFileUnreadable
from rigs.drawing.pin_places import HEAD, places
from rigs.models import StoredPhoto
from rigs.photos.storage import open_file
from rigs.wording import PhotoView, RigView

log = logging.getLogger(__name__)
UNREADABLE = (
    StoredFileUnreadable,
    OSError,
    ValueError,
    SyntaxError,
    Image.DecompressionBombError,
)

LONG_EDGE = 1400  # pixels: 200 to the inch across the 17 cm that a picture takes on paper
QUALITY = 80
SMALL_MM = 62
TALLEST_MM, ROOM_MM = 75, 170  # of a picture, as typ/photo.typ sets it
TALLEST_WITH_MANY_MM, FEW = 150, 8  # pins that need more room
MM_PER_PIXEL = 6 / (2 * HEAD)  # a disc of 6 mm


def pinned_photos(view: RigView) -> list[PhotoView]:
    """The photos of `view` that have pins, in the order of its pages."""
    return [photo for photo in view.all_photos() if photo.pins]


def as_data(photo: PhotoView, picture: str, *, room_mm: float = ROOM_MM) -> dict[str, Any]:
    """The data that typ/photo.typ sets. Pure.

    Places are fractions of the picture, from its top left. `picture` is the name of its file, empty
    where that is missing; `room_mm` is how wide it may be.
    """
    ratio = photo.width / photo.height if photo.height else 1
    tallest = TALLEST_MM if len(photo.pins) <= FEW else TALLEST_WITH_MANY_MM
    width = min(room_mm, tallest * ratio) / MM_PER_PIXEL
    stand = places([(pin.x, pin.y) for pin in photo.pins], width, width / ratio)
    return {
        "title": photo.caption or _("Photo"),
        "shows": photo.about_name,
        "picture": picture,
        "alt": _("{alternative}, with numbered pins; what they show is listed below").format(
            alternative=photo.alternative
        )
        if photo.pins
        else photo.alternative,
        "ratio": ratio,
        "tallest": tallest,
        "pins": [
            {
                "number": p.number,
                "x": float(p.x),
                "y": float(p.y),
                "angle": place.angle,
                "rise": place.rise * MM_PER_PIXEL,
            }
            for p, place in zip(photo.pins, stand, strict=True)
        ],
        "legend": [[str(pin.number), pin.legend] for pin in photo.pins],
    }


def for_paper(
    photos: Iterable[PhotoView],
    production: UUID,
    prefix: str = "photo",
    *,
    small: bool = False,
) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """The data of `photos`, and their pictures by file name. One query, and a file for each.

    A picture whose file cannot be read is left out; the sheet says so and keeps its legend. A photo
    without width and height has those of its stored picture. A `small` one is for a column of
    SMALL_MM, from the small file: that holds 200 pixels to the inch there and takes a tenth of the
    time.
    """
    shown = list(photos)
    stored = _stored(shown, production)
    shown = [_measured(photo, stored.get(photo.image)) for photo in shown]
    pictures = {f"{prefix}{n}.jpg": data for n, data in _jpegs(shown, stored, small)}
    names = [f"{prefix}{n}.jpg" for n in range(len(shown))]
    data = [
        as_data(photo, name if name in pictures else "", room_mm=SMALL_MM if small else ROOM_MM)
        for photo, name in zip(shown, names, strict=True)
    ]
    return data, pictures


def _stored(photos: list[PhotoView], production: UUID) -> dict[str, StoredPhoto]:
    images = {photo.image for photo in photos}
    rows = StoredPhoto.objects.filter(pk__in=images, production=production)
    return {str(row.pk): row for row in rows}


def _measured(photo: PhotoView, stored: StoredPhoto | None) -> PhotoView:
    """The photo with a width and height, from its stored picture if it has none of its own.

    Handovers published before photos of notes were printed name the picture, not its size.
    """
    if photo.width or stored is None:
        return photo
    return replace(photo, width=stored.width, height=stored.height)


def _jpegs(
    photos: list[PhotoView], stored: Mapping[str, StoredPhoto], small: bool
) -> Iterator[tuple[int, bytes]]:
    for n, photo in enumerate(photos):
        data = _read(stored[photo.image], small) if photo.image in stored else None
        if data is not None:
            yield n, data


def small_jpegs(photos: Mapping[str, StoredPhoto]) -> dict[str, bytes]:
    """Small pictures by the name that `photos` gives them, those left out that cannot be read."""
    read = {name: _read(photo, small=True) for name, photo in photos.items()}
    return {name: data for name, data in read.items() if data is not None}


def _read(photo: StoredPhoto, small: bool) -> bytes | None:
    """The picture as JPEG; None where its file is lost, forbidden or no picture any more."""
    try:
        file, _ = open_file(photo, thumb=small)
        with file:
            return _jpeg(file.read())
    except UNREADABLE as error:
        # Pillow raises any of OSError, ValueError and SyntaxError for a broken file. A sheet
        # without one picture is worth more than no sheet.
        log.warning("The file of photo %s cannot be read: %s", photo.pk, error)
        return None


def _jpeg(webp: bytes) -> bytes:
    """The picture as a JPEG of at most LONG_EDGE pixels.

    A PDF keeps a JPEG as it is; any other picture is unpacked into it and takes ten times the room.
    """
    with Image.open(io.BytesIO(webp), formats=["WEBP"]) as image:
        picture = image.convert("RGB")
    # Only ever makes it smaller: a small picture is not blown up.
    picture.thumbnail((LONG_EDGE, LONG_EDGE), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
