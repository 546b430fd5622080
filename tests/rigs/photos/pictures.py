"""Pictures made for the tests, as cameras and pranksters would send them."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import pillow_heif
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

Colour = tuple[int, int, int]
RED, BLUE = (200, 30, 30), (30, 30, 200)


def two_tone(width: int = 80, height: int = 40) -> Image.Image:
    """Red on the left, blue on the right."""
    image = Image.new("RGB", (width, height), RED)
    image.paste(BLUE, (width // 2, 0, width, height))
    return image


def encoded(image: Image.Image, kind: str = "JPEG", **more: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def exif(orientation: int = 1) -> Image.Exif:
    """As a phone writes it: how it was held, its make, where it was."""
    made = Image.Exif()
    made[0x0112], made[0x010F] = orientation, "Corvane"
    north = tuple(IFDRational(n) for n in (51, 30, 0))
    made.get_ifd(0x8825).update({1: "N", 2: north, 3: "E", 4: north})
    return made


def heic(image: Image.Image, **more: Any) -> bytes:
    out = io.BytesIO()
    pillow_heif.from_pillow(image).save(out, quality=90, **more)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def colour_at(image: Image.Image, x: float, y: float) -> Colour:
    width, height = image.size
    red, green, blue = image.convert("RGB").getpixel((int(width * x), int(height * y)))  # type: ignore[misc]
    return red, green, blue


def near(colour: Colour, wanted: Colour, by: int = 24) -> bool:
    return all(abs(a - b) <= by for a, b in zip(colour, wanted, strict=True))


def bomb(width: int = 40_000, height: int = 40_000) -> bytes:
    """A PNG of a few kilobytes that unpacks to 1.6 gigapixels."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        check = zlib.crc32(kind + body)
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 1_000_000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    )
