"""Pictures for the demonstration, drawn here so that they show nobody's gear."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from functools import partial

from PIL import Image, ImageDraw, ImageFont

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
        _scale(draw, left + 75, 665)
    _printed(draw)


def _scale(draw: Draw, x: int, y: int) -> None:
    """The marks about a knob, over three quarters and some of its way round."""
    for step in range(11):
        turn = math.radians(-150 + 30 * step)
        near, far = 82, 94 if step % 5 else 100
        ends = [(x + r * math.sin(turn), y - r * math.cos(turn)) for r in (near, far)]
        draw.line([*ends[0], *ends[1]], fill=(40, 36, 32), width=4)


def _printed(draw: Draw) -> None:
    """What is printed and screwed on the front, by which it is known again on another photo."""
    font = ImageFont.load_default(26)
    for number, name in enumerate(("GAIN", "BASS", "MIDDLE", "TREBLE", "MASTER")):
        draw.text((375 + number * 210, 774), name, fill=(40, 36, 32), font=font, anchor="ms")
    draw.text((420, 470), "VALVE HEAD", fill=(190, 176, 146), font=ImageFont.load_default(64))
    draw.text((1010, 500), "100 W  4 / 8 OHM", fill=(150, 140, 120), font=font)
    for x, y in ((230, 410), (1370, 410), (230, 790), (1370, 790)):
        draw.ellipse((x - 12, y - 12, x + 12, y + 12), fill=(150, 146, 138))
        draw.line((x - 8, y - 5, x + 8, y + 5), fill=(60, 58, 54), width=4)


def _snare(draw: Draw) -> None:
    """A snare drum from above, with the microphone close to the rim."""
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


def _combo(draw: Draw, left: int, top: int, size: int) -> None:
    """An amplifier with its speaker, panel on top."""
    box = (left, top, left + size, top + size)
    draw.rounded_rectangle(box, 18, fill=(44, 40, 44), outline=(18, 16, 18), width=10)
    draw.rectangle((left + 40, top + 30, left + size - 40, top + size // 5), fill=(172, 158, 128))
    for number in range(5):
        x = left + 70 + number * (size - 140) // 5
        draw.ellipse((x, top + 45, x + 50, top + 95), fill=(30, 28, 30))
    draw.rectangle(
        (left + 40, top + size // 4, left + size - 40, top + size - 40), fill=(96, 84, 68)
    )
    middle, radius = (left + size // 2, top + size * 5 // 8), size // 4
    for each in (radius, radius // 3):
        draw.ellipse(
            (middle[0] - each, middle[1] - each, middle[0] + each, middle[1] + each),
            outline=(62, 54, 46),
            width=8,
        )


def _pedals(draw: Draw, colours: tuple[tuple[int, int, int], ...]) -> None:
    draw.rectangle((120, 1020, 200 + 190 * len(colours), 1170), fill=(30, 29, 32))
    for number, colour in enumerate(colours):
        left = 150 + number * 190
        draw.rounded_rectangle((left, 1000, left + 140, 1150), 14, fill=colour)
        draw.ellipse((left + 50, 1090, left + 90, 1130), fill=(190, 190, 194))
        draw.ellipse((left + 20, 1020, left + 60, 1060), fill=(24, 24, 26))


def _strings(draw: Draw, colour: tuple[int, int, int]) -> None:
    """A guitar or bass on its stand."""
    draw.polygon(((290, 80), (340, 80), (356, 720), (286, 720)), fill=(92, 62, 38))
    draw.rounded_rectangle((270, 40, 360, 180), 20, fill=colour)
    draw.ellipse((170, 600, 480, 850), fill=colour)
    draw.ellipse((140, 720, 510, 990), fill=colour)
    draw.rectangle((270, 740, 380, 780), fill=(34, 32, 34))
    draw.rectangle((270, 850, 380, 890), fill=(34, 32, 34))


def _corner(
    draw: Draw, guitar: tuple[int, int, int], pedals: tuple[tuple[int, int, int], ...]
) -> None:
    """One player's corner: instrument, amplifier, pedals and a microphone."""
    _combo(draw, 700, 330, 680)
    _strings(draw, guitar)
    _pedals(draw, pedals)
    _microphone(draw, 1130, 800)


def _organ(draw: Draw) -> None:
    draw.rectangle((120, 420, 900, 1060), fill=(104, 66, 40), outline=(60, 38, 22), width=12)
    for top in (520, 640):
        draw.rectangle((170, top, 850, top + 80), fill=(226, 220, 206))
        for left in range(200, 840, 60):
            draw.rectangle((left, top, left + 24, top + 46), fill=(30, 28, 28))
    draw.rectangle((1000, 260, 1460, 1080), fill=(92, 58, 34), outline=(52, 32, 18), width=12)
    for top in (*range(330, 500, 44), *range(820, 1000, 44)):
        draw.rectangle((1060, top, 1400, top + 18), fill=(40, 26, 16))
    _microphone(draw, 980, 400)


def _trumpet(draw: Draw) -> None:
    brass, dark = (200, 162, 76), (120, 94, 40)
    draw.line((260, 520, 1120, 520), fill=brass, width=34)
    draw.rounded_rectangle((480, 500, 900, 690), 90, outline=brass, width=28)
    draw.polygon(((1040, 500), (1340, 380), (1340, 660), (1040, 540)), fill=brass)
    draw.ellipse((1310, 380, 1370, 660), fill=dark)
    for left in (600, 670, 740):
        draw.rounded_rectangle((left, 430, left + 46, 640), 12, fill=brass, outline=dark, width=6)
    _microphone(draw, 1440, 560)


def _voice(draw: Draw) -> None:
    """A microphone on a straight stand, and the receiver of a wireless one beside it."""
    draw.line((800, 420, 800, 1120), fill=(70, 70, 74), width=22)
    draw.ellipse((640, 1080, 960, 1150), fill=(54, 54, 58))
    draw.polygon(((770, 330), (830, 330), (818, 520), (782, 520)), fill=(48, 48, 52))
    draw.ellipse((730, 180, 870, 340), fill=(134, 134, 140), outline=(90, 90, 96), width=8)
    draw.rectangle((1120, 940, 1460, 1040), fill=(40, 40, 44), outline=(18, 18, 20), width=8)
    draw.rectangle((1150, 965, 1260, 1015), fill=(80, 150, 120))
    for left in (1150, 1430):
        draw.line(
            (left, 940, left + (20 if left > 1300 else -20), 760), fill=(24, 24, 26), width=12
        )


def _percussion(draw: Draw) -> None:
    """A table with shakers and bells, and a microphone above it."""
    draw.polygon(((200, 800), (1400, 800), (1500, 960), (100, 960)), fill=(70, 52, 40))
    for left, colour in ((320, (176, 142, 66)), (560, (150, 60, 52)), (1060, (66, 104, 92))):
        draw.rounded_rectangle((left, 690, left + 170, 810), 50, fill=colour)
    draw.ellipse((800, 660, 980, 840), outline=(196, 180, 150), width=18)
    _microphone(draw, 760, 420)


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
    "guitar left": partial(
        _corner, guitar=(150, 96, 44), pedals=((40, 92, 120), (150, 60, 52), (66, 104, 92))
    ),
    "guitar right": partial(
        _corner, guitar=(40, 84, 96), pedals=((150, 60, 52), (176, 142, 66), (86, 70, 120))
    ),
    "bass to fly": partial(_corner, guitar=(88, 40, 36), pedals=((176, 142, 66),)),
    "organ": _organ,
    "trumpet": _trumpet,
    "voice": _voice,
    "percussion": _percussion,
    "saxophone from above": partial(_bell, microphone=(820, 180)),
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
