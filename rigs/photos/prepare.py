"""Turn an uploaded file into the picture that is stored. Pure: bytes in, bytes out.

Upright, in sRGB, at most 2560 px long, WebP, and with nothing that the camera wrote beside the
picture: no place, no time, no name.
"""

from __future__ import annotations

import io
from contextlib import nullcontext
from dataclasses import dataclass
from threading import Lock

import pillow_heif
from django.utils.translation import gettext as _
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError
from PIL.Image import Resampling

from core.languages.words import number

LONG_EDGE, THUMB_EDGE = 2560, 480
# A JPEG of 3200 px and more is decoded at half its size, which is still sharp enough: for 12
# megapixels, encoding included, 0.5 s instead of 0.9 s (2 cores, November 2026).
HALVED_FROM = 3200
QUALITY, THUMB_QUALITY = 82, 76
CONTENT_TYPE = "image/webp"
# HEIF is what phones call HEIC. A JPEG with a second one behind it, for depth, opens as "MPO".
_FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")

# Decoding 48 megapixels of HEIC takes 350 MB (docs/measurements.md): one such picture at a time
# in a process, so that several at once wait for each other instead of for memory.
LARGE_PIXELS = 24_000_000
_TURN = Lock()

pillow_heif.register_heif_opener()


class PhotoError(ValueError):
    """The file cannot be taken; the message says why, in words fit for a form."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture and its small version, both WebP, and the size of the picture in pixels."""

    full: bytes
    thumb: bytes
    width: int
    height: int


def prepare(data: bytes, *, max_bytes: int, max_pixels: int) -> Prepared:
    """Raises PhotoError for what is no picture, is broken, or is larger than allowed."""
    if not data:
        raise PhotoError(_("The file is empty."))
    if len(data) > max_bytes:
        raise PhotoError(
            _("The file has {size} MB; {most} MB is the most a photo may have.").format(
                size=_mb(len(data)), most=_mb(max_bytes)
            )
        )
    try:
        with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
            _check_size(image, max_pixels)
            with _TURN if image.width * image.height > LARGE_PIXELS else nullcontext():
                picture = _upright(image)
    except (UnidentifiedImageError, SyntaxError):
        raise PhotoError(_("This is not a JPEG, PNG, WebP or HEIC picture.")) from None
    # Pillow raises this by itself, where a small file states an enormous picture.
    except Image.DecompressionBombError:
        raise PhotoError(_too_many(max_pixels)) from None
    except PhotoError:
        raise
    except (OSError, ValueError, RuntimeError, MemoryError, EOFError, IndexError):
        raise PhotoError(
            _("The picture is damaged or not complete. Take it or upload it again.")
        ) from None
    thumb = picture.copy()
    thumb.thumbnail((THUMB_EDGE, THUMB_EDGE), Resampling.LANCZOS)
    return Prepared(_webp(picture, QUALITY), _webp(thumb, THUMB_QUALITY), *picture.size)


def _mb(count: int) -> str:
    return number(round(count / 1024 / 1024, 1))


def _too_many(max_pixels: int) -> str:
    return _("The picture has more than {n} megapixels.").format(n=number(max_pixels / 1e6))


def _check_size(image: Image.Image, max_pixels: int) -> None:
    """Before anything is unpacked: a small file may hold a picture that fills the memory."""
    width, height = image.size
    if width * height > max_pixels:
        raise PhotoError(_too_many(max_pixels))
    if min(width, height) < 1:
        raise PhotoError(_("The picture has no size."))


def _upright(image: Image.Image) -> Image.Image:
    """Small, then turned as the camera was held, then in sRGB and on white."""
    target = _target(image.size)
    if image.format in ("JPEG", "MPO"):
        image.draft(None, target)
    # Decoded before the file is left; draft, which must come first, has set the size for JPEG.
    image.load()
    image.thumbnail(target, Resampling.LANCZOS)
    upright = ImageOps.exif_transpose(image)
    return _in_srgb(upright)


def _target(size: tuple[int, int]) -> tuple[int, int]:
    """The box in pixels that the picture must fit, of its own shape.

    With a square box, Pillow’s draft mode would decode a JPEG larger than needed.
    """
    long_edge = max(size)
    edge = min(LONG_EDGE, long_edge // 2) if long_edge >= HALVED_FROM else min(LONG_EDGE, long_edge)
    width, height = (max(1, round(side * edge / long_edge)) for side in size)
    return width, height


def _in_srgb(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    flat = _flat(image)
    if profile and flat.mode in ("RGB", "CMYK", "L"):
        flat = _converted(flat, bytes(profile))
    plain = flat.convert("RGB")
    # Pillow carries what the camera wrote along in `info`, and would save some of it again.
    plain.info = {}
    return plain


def _flat(image: Image.Image) -> Image.Image:
    """The picture without palette or transparency, on white, with eight bits a channel."""
    if image.mode.startswith(("I", "F")):  # sixteen bits of grey and the like
        return image.convert("F").point(lambda value: value / 256).convert("L")
    if image.mode in ("RGB", "CMYK", "L"):
        return image
    seen = image.convert("RGBA")
    ground = Image.new("RGB", image.size, "white")
    ground.paste(seen, mask=seen.getchannel("A"))
    return ground


def _converted(image: Image.Image, profile: bytes) -> Image.Image:
    """In sRGB. A profile that is broken or not for this kind of picture is left out of account."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        made = ImageCms.profileToProfile(
            image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return made or image


def _webp(image: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    # Empty metadata is named outright, so that no default of Pillow can add the camera's.
    image.save(out, "WEBP", quality=quality, method=4, exif=b"", xmp=b"", icc_profile=None)
    return out.getvalue()
