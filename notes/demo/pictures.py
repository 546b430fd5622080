"""Pictures for the demonstration, drawn here so that they show nobody's gear."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import partial

from PIL import Image, ImageDraw

SIZE = (1600, 1200)
Draw = ImageDraw.ImageDraw


def _cabinet(draw: Draw, microphone: tuple[int, int] = (1010, 760)) -> None:
    draw.rectangle((300, 120, 1300, 1120), fill=(58, 44, 36), outline=(20, 14, 10), width=14)
    draw.rectangle((360, 180, 1240, 1060), fill=(92, 80, 66))
    for step in range(0, 880, 16):
        draw.line((360 + step, 180, 360 + step, 1060), fill=(80, 69, 57), width=3)
        draw.line((360, 180 + step, 1240, 180 + step), fill=(102, 90, 75), width=2)
    for radius, shade in ((400, 52), (370, 40), (150, 60), (130, 46)):
        box = (800 - radius, 620 - radius, 800 + radius, 620 + radius)
        draw.ellipse(box, outline=(shade, shade - 8, shade - 14), width=6)
    _microphone(draw, *microphone)


def _kit(draw: Draw) -> None:
    draw.ellipse((480, 430, 1120, 1070), fill=(120, 36, 42), outline=(210, 200, 190), width=22)
    draw.ellipse((520, 470, 1080, 1030), fill=(224, 214, 198))
    draw.ellipse((880, 820, 1000, 940), fill=(40, 34, 30))
    for left, top, width in ((170, 560, 330), (520, 250, 270), (830, 250, 270), (1120, 600, 360)):
        box = (left, top, left + width, top + width // 2)
        draw.rounded_rectangle(box, 30, fill=(120, 36, 42), outline=(210, 200, 190), width=10)
    for left in (60, 1180):
        draw.ellipse(
            (left, 120, left + 380, 200), fill=(176, 146, 74), outline=(110, 88, 40), width=6
        )
    _microphone(draw, 1010, 880)


def _head(draw: Draw, dials: tuple[int, ...] = (45, 60, -30, -105, 75)) -> None:
    draw.rectangle((200, 380, 1400, 820), fill=(38, 36, 40), outline=(16, 15, 17), width=12)
    draw.rectangle((240, 560, 1360, 780), fill=(172, 158, 128))
    for number, degrees in enumerate(dials):
        left = 300 + number * 210
        draw.ellipse((left, 590, left + 150, 740), fill=(30, 28, 30))
        pointer = Image.new("L", (150, 150))
        ImageDraw.Draw(pointer).rectangle((70, 6, 80, 60), fill=255)
        draw.bitmap((left, 590), pointer.rotate(-degrees), fill=(236, 228, 210))


def _snare(draw: Draw) -> None:
    """From above, with the microphone close to the rim."""
    draw.ellipse((380, 180, 1220, 1020), fill=(208, 204, 196), outline=(150, 146, 140), width=30)
    draw.ellipse((430, 230, 1170, 970), fill=(232, 226, 212))
    draw.ellipse((640, 440, 960, 760), outline=(214, 206, 190), width=10)
    for left, top in ((350, 560), (1190, 560), (770, 150), (770, 990)):
        draw.rounded_rectangle((left, top, left + 60, top + 60), 12, fill=(120, 118, 114))
    _microphone(draw, 1120, 700)


def _bell(draw: Draw, microphone: tuple[int, int] = (560, 520)) -> None:
    """The bell of a saxophone from the side, with keys above and a microphone inside it."""
    draw.polygon(((1060, 120), (1150, 120), (1040, 980), (900, 980)), fill=(176, 142, 66))
    draw.ellipse((520, 820, 1040, 1130), fill=(176, 142, 66), outline=(120, 94, 40), width=10)
    draw.polygon(((520, 980), (760, 980), (720, 540), (380, 420)), fill=(176, 142, 66))
    draw.ellipse((340, 380, 760, 580), fill=(92, 70, 28), outline=(206, 172, 92), width=14)
    for top in range(220, 840, 100):
        draw.ellipse(
            (1000, top, 1090, top + 70), fill=(206, 172, 92), outline=(120, 94, 40), width=6
        )
    _microphone(draw, *microphone)


def _microphone(draw: Draw, x: int, y: int) -> None:
    draw.line((x + 40, y + 30, x + 420, 1190), fill=(24, 24, 26), width=16)
    draw.rounded_rectangle((x - 34, y - 46, x + 64, y + 96), 26, fill=(66, 66, 70))
    draw.rounded_rectangle((x - 34, y - 46, x + 64, y + 20), 26, fill=(128, 128, 134))


SCENES: dict[str, Callable[[Draw], None]] = {
    "cabinet": _cabinet,
    "cabinet, edge": partial(_cabinet, microphone=(1080, 800)),
    "kit": _kit,
    "snare, at the rim": _snare,
    "saxophone bell": _bell,
    "head": _head,
    "head, brighter": partial(_head, dials=(45, 60, -30, -75, 75)),
}


def jpeg(scene: str) -> bytes:
    """The scene as a camera would hand it over: a JPEG."""
    image = Image.new("RGB", SIZE, (26, 23, 22))
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 1000, 1600, 1200), fill=(46, 38, 32))
    SCENES[scene](draw)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88)
    return out.getvalue()
