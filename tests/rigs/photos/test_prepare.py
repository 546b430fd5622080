"""What becomes of an uploaded picture."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image, ImageCms

from rigs.photos import prepare as module
from rigs.photos.prepare import PhotoError, Prepared
from tests.rigs.photos.pictures import (
    BLUE,
    RED,
    bomb,
    colour_at,
    encoded,
    exif,
    heic,
    near,
    opened,
    two_tone,
)

LIMIT = 20 * 1024 * 1024


def prepare(data: bytes, *, max_bytes: int = LIMIT, max_pixels: int = 60_000_000) -> Prepared:
    return module.prepare(data, max_bytes=max_bytes, max_pixels=max_pixels)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_usual_pictures_become_webp_of_the_same_size(kind: str) -> None:
    made = prepare(encoded(two_tone(), kind))
    full = opened(made.full)
    assert (full.format, full.size, (made.width, made.height)) == ("WEBP", (80, 40), (80, 40))
    assert near(colour_at(full, 0.2, 0.5), RED)
    assert near(colour_at(full, 0.8, 0.5), BLUE)


def test_a_phones_heic_is_read() -> None:
    full = opened(prepare(heic(two_tone(256, 128))).full)
    assert (full.format, full.size) == ("WEBP", (256, 128))
    assert near(colour_at(full, 0.2, 0.5), RED)


# Exif 2.32 (JEITA CP-3451E), tag 0x0112. The picture is red left, blue right as stored; where red
# is to be seen follows from the standard's table of rows and columns.
@pytest.mark.parametrize(
    ("orientation", "size", "red_at", "blue_at"),
    [
        (1, (80, 40), (0.2, 0.5), (0.8, 0.5)),
        (2, (80, 40), (0.8, 0.5), (0.2, 0.5)),  # mirrored
        (3, (80, 40), (0.8, 0.5), (0.2, 0.5)),  # upside down
        (6, (40, 80), (0.5, 0.2), (0.5, 0.8)),  # to be turned clockwise: left goes up
        (8, (40, 80), (0.5, 0.8), (0.5, 0.2)),  # to be turned anticlockwise: left goes down
    ],
)
def test_a_picture_is_turned_as_the_camera_was_held(
    orientation: int, size: tuple[int, int], red_at: Any, blue_at: Any
) -> None:
    made = prepare(encoded(two_tone(), exif=exif(orientation)))
    full, thumb = opened(made.full), opened(made.thumb)
    assert full.size == thumb.size == size == (made.width, made.height)
    assert near(colour_at(full, *red_at), RED)
    assert near(colour_at(full, *blue_at), BLUE)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIC"])
def test_nothing_but_the_picture_is_kept(kind: str) -> None:
    told = exif().tobytes()
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    image = two_tone(128, 64)
    data = (
        heic(image, exif=told)
        if kind == "HEIC"
        else encoded(image, kind, exif=told, icc_profile=profile)
    )
    assert dict(opened(data).getexif().get_ifd(0x8825))  # it was there
    made = prepare(data)
    for kept in (made.full, made.thumb):
        image = opened(kept)
        image.load()
        assert not image.getexif()
        assert not {"exif", "xmp", "icc_profile", "comment"} & image.info.keys()
        assert b"Corvane" not in kept
        assert b"EXIF" not in kept


def test_other_colour_spaces_become_srgb() -> None:
    # A linear-light profile: 55 of 255 in linear light is 128 in sRGB (IEC 61966-2-1: 0.2157 →
    # 1.055 · 0.2157^(1/2.4) − 0.055 = 0.502).
    image = Image.new("RGB", (32, 32), (55, 55, 55))
    made = prepare(encoded(image, "PNG", icc_profile=linear_profile()))
    assert near(colour_at(opened(made.full), 0.5, 0.5), (128, 128, 128), by=3)


def linear_profile() -> bytes:
    """sRGB's primaries with a straight curve: its three curve tags say gamma 1 instead."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = int.from_bytes(data[128:132], "big")
    for n in range(count):
        at = 132 + 12 * n
        if data[at : at + 4] in (b"rTRC", b"gTRC", b"bTRC"):
            offset = int.from_bytes(data[at + 4 : at + 8], "big")
            # parametricCurveType, function 0: Y = X^g, g = 1 as s15Fixed16 (ICC.1:2022, 10.18).
            data[offset : offset + 16] = b"para" + bytes(8) + (0x10000).to_bytes(4, "big")
    return bytes(data)


def test_a_broken_profile_does_no_harm() -> None:
    made = prepare(encoded(two_tone(), "PNG", icc_profile=b"not a profile at all"))
    assert near(colour_at(opened(made.full), 0.2, 0.5), RED)


def test_transparency_lies_on_white() -> None:
    clear = Image.new("RGBA", (20, 20), (0, 0, 0, 0))
    made = prepare(encoded(clear, "PNG"))
    assert near(colour_at(opened(made.full), 0.5, 0.5), (255, 255, 255), by=2)


@pytest.mark.parametrize("mode", ["L", "P", "CMYK", "1", "LA", "I;16"])
def test_every_mode_of_a_picture_is_taken(mode: str) -> None:
    kind = "JPEG" if mode == "CMYK" else "PNG"
    image = (
        Image.new("I;16", (30, 20), 0x8080) if mode == "I;16" else two_tone(30, 20).convert(mode)
    )
    full = opened(prepare(encoded(image, kind)).full)
    assert (full.mode, full.size) == ("RGB", (30, 20))
    if mode == "I;16":
        assert near(colour_at(full, 0.5, 0.5), (128, 128, 128), by=3)


@pytest.mark.parametrize(
    ("size", "kept", "thumb"),
    [
        ((3000, 2000), (2560, 1707), (480, 320)),
        ((4032, 3024), (2016, 1512), (480, 360)),  # half is sharp enough, and three times as fast
        ((1000, 6000), (427, 2560), (80, 480)),
        ((7000, 100), (2560, 37), (480, 7)),
    ],
)
def test_large_pictures_are_made_smaller_in_their_own_shape(
    size: tuple[int, int], kept: tuple[int, int], thumb: tuple[int, int]
) -> None:
    made = prepare(encoded(Image.new("RGB", size, RED)))
    assert opened(made.full).size == kept == (made.width, made.height)
    assert opened(made.thumb).size == thumb


def test_the_same_file_makes_the_same_bytes() -> None:
    data = encoded(two_tone(), exif=exif(6))
    assert prepare(data) == prepare(data)


@pytest.mark.parametrize("data", [b"Dear crew, the snare mic is broken.", b"GIF89a", b"<svg/>"])
def test_what_is_no_picture_is_refused_whatever_it_is_called(data: bytes) -> None:
    with pytest.raises(PhotoError) as refused:
        prepare(data)
    assert str(refused.value) == "This is not a JPEG, PNG, WebP or HEIC picture."


@pytest.mark.parametrize("kind", ["GIF", "TIFF", "BMP"])
def test_other_kinds_of_picture_are_refused(kind: str) -> None:
    with pytest.raises(PhotoError, match="not a JPEG, PNG, WebP or HEIC"):
        prepare(encoded(two_tone(), kind))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIC"])
def test_a_picture_cut_short_is_refused(kind: str) -> None:
    noise = Image.effect_noise((200, 200), 80).convert("RGB")
    data = heic(noise) if kind == "HEIC" else encoded(noise, kind)
    with pytest.raises(PhotoError) as refused:
        prepare(data[: len(data) // 2])
    assert (
        str(refused.value) == "The picture is damaged or not complete. Take it or upload it again."
    )


def test_a_bomb_is_refused_before_it_is_unpacked() -> None:
    data = bomb()
    assert len(data) < 10_000
    with pytest.raises(PhotoError) as refused:
        prepare(data)
    assert str(refused.value) == "The picture has more than 60 megapixels."


def test_the_limit_of_pixels_is_the_one_that_is_set() -> None:
    data = encoded(Image.new("RGB", (200, 100)))
    assert prepare(data, max_pixels=20_000).width == 200
    with pytest.raises(PhotoError, match="more than 0.019999 megapixels"):
        prepare(data, max_pixels=19_999)


def test_a_file_over_the_limit_is_refused_with_both_sizes() -> None:
    with pytest.raises(PhotoError) as refused:
        prepare(b"x" * (3 * 1024 * 1024), max_bytes=2 * 1024 * 1024)
    assert str(refused.value) == "The file has 3 MB; 2 MB is the most a photo may have."


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(PhotoError, match="The file is empty"):
        prepare(b"")


def test_an_animation_gives_its_first_picture() -> None:
    out = io.BytesIO()
    two_tone().save(out, "WEBP", save_all=True, append_images=[Image.new("RGB", (80, 40))])
    made = prepare(out.getvalue())
    assert getattr(opened(made.full), "n_frames", 1) == 1
    assert near(colour_at(opened(made.full), 0.2, 0.5), RED)
