"""Panels by chance, photographed: what is on them, from where, in which light, with what across."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from tests.support.panels import caps as looks
from tests.support.panels import sliders
from tests.support.panels.camera import SIZE, Camera, through_lens, warp
from tests.support.panels.caps import EXTENT, UNREADABLE, Cap, Light
from tests.support.panels.sliders import Slider

PX_PER_MM = 6.0
LIGHTS = ("even", "falling off", "hard", "night", "stage colour", "glare")
LEAST_PX = 1.5  # of the width of a mark that a person could read
LEAST_CONTRAST = 12.0  # of 255
Rng = np.random.Generator


@dataclass(frozen=True)
class Panel:
    """A front panel: its size in mm, its caps, and the seed of all that is printed on it."""

    width: float
    height: float
    caps: tuple[Cap, ...]
    seed: int
    ground: tuple[float, float, float]
    ink: tuple[float, float, float]
    sliders: tuple[Slider, ...] = ()


@dataclass(frozen=True)
class Taking:
    """How a photo is taken."""

    camera: Camera
    light: str = "even"
    azimuth: float = 0.5
    blur: float = 0.6
    noise: float = 3.0  # of 255
    jpeg: int = 88
    cable: bool = False
    tape: bool = False
    seed: int = 0


@dataclass(frozen=True)
class Seen:
    """Where a cap is in a photo: pixels, and whether a person could read it there."""

    x: float
    y: float
    radius: float
    readable: bool


@dataclass(frozen=True)
class Photo:
    jpeg: bytes
    caps: tuple[Seen, ...]


def panel(rng: Rng, kinds: Sequence[str] = looks.KINDS, *, large: bool = False) -> Panel:
    """A panel by chance; its caps are of one to three kinds. Up to 14 of them, `large` up to 27."""
    dark = rng.random() < 0.5
    ground = tuple(
        float(v) for v in np.clip((0.12 if dark else 0.72) + rng.normal(0, 0.06, 3), 0.03, 0.95)
    )
    ink = tuple(np.clip((0.9 if dark else 0.1) + rng.normal(0, 0.03, 3), 0, 1))
    chosen = [k for k in kinds if k != "cap of a pair"]
    picks = list(rng.choice(chosen, size=min(len(chosen), int(rng.integers(1, 4))), replace=False))
    columns, rows = int(rng.integers(2, 8)), int(rng.integers(1, 3))
    if large:
        columns, rows = int(rng.integers(5, 10)), int(rng.integers(1, 4))
    pitch = float(rng.uniform(32, 42))
    made: list[Cap] = []
    families = {kind: _family(rng, kind, ground) for kind in picks}
    for row in range(rows):
        for column in range(columns):
            at = (
                25 + pitch * (column + 0.5) + rng.normal(0, 1.0),
                22 + pitch * (row + 0.5) + rng.normal(0, 1.0),
            )
            kind = str(rng.choice(picks))
            cap = replace(families[kind], at=at, seed=int(rng.integers(1 << 30)))
            made.append(cap)
            if kind == "ring of a pair":
                made.append(
                    replace(
                        cap,
                        kind="cap of a pair",
                        radius=cap.radius * 0.6,
                        base=cap.height,
                        height=cap.height + 8,
                        inner=0.0,
                        width=0.16,
                    )
                )
    return Panel(
        50 + pitch * columns,
        44 + pitch * rows,
        tuple(made),
        int(rng.integers(1 << 30)),
        ground,
        ink,
    )


def _family(rng: Rng, kind: str, ground: tuple[float, ...]) -> Cap:
    metal = bool(rng.random() < 0.25)
    level = rng.uniform(0.5, 0.75) if metal else rng.choice([0.07, 0.1, 0.15, 0.85, 0.4])
    tint = rng.normal(0, 0.02 if rng.random() < 0.7 else 0.15, 3)
    colour = tuple(np.clip(level + tint, 0.03, 0.97))
    light_mark = float(np.mean(colour)) < 0.5
    mark = tuple(np.clip((0.92 if light_mark else 0.06) + rng.normal(0, 0.03, 3), 0, 1))
    small = kind in ("trimmer with an arrow", "slot")
    return Cap(
        kind,
        (0, 0),
        float(rng.uniform(3.0, 4.5) if small else rng.uniform(7.0, 12.0)),
        float(rng.uniform(0.5, 3.0) if small else rng.uniform(10, 17)),
        colour,
        mark,
        metal=metal and kind != "chicken-head",
        worn=float(rng.choice([0, 0, 0, 0.3, 0.6])),
        flutes=int(rng.integers(10, 26)),
        width=float(rng.uniform(0.08, 0.13) if kind == "dot" else rng.uniform(0.09, 0.16)),
        inner={"ring of a pair": 0.58, "skirt with numbers": 0.62}.get(kind, 0.0),
        extra={"dirt": float(rng.choice([0.0, 0.004, 0.01]))},
    )


def settings(rng: Rng, panel: Panel) -> list[float]:
    """A turn for each cap, degrees from straight up."""
    return [float(rng.uniform(-150, 150)) for _ in panel.caps]


def turned(rng: Rng, before: Sequence[float]) -> list[float]:
    """About half of them moved, half of those by little; all within the travel."""
    after = []
    for value in before:
        chance = rng.random()
        if chance < 0.5:
            after.append(value)
        elif chance < 0.75:
            by = float(rng.uniform(5, 40) * rng.choice([-1, 1]))
            after.append(value + by if abs(value + by) <= 150 else value - by)
        else:
            after.append(float(rng.uniform(-150, 150)))
    return after


def from_front(rng: Rng, panel: Panel, most: float = 12.0) -> Taking:
    """As the documented photo should be taken: from the front, in good light."""
    camera = _camera(rng, panel, float(rng.uniform(0, most)))
    return Taking(
        camera,
        str(rng.choice(["even", "falling off"])),
        float(rng.uniform(0, 2 * math.pi)),
        blur=float(rng.uniform(0.4, 0.9)),
        noise=float(rng.uniform(1, 4)),
        jpeg=int(rng.integers(82, 94)),
        seed=int(rng.integers(1 << 30)),
    )


def by_hand(rng: Rng, panel: Panel, most: float = 40.0) -> Taking:
    """As somebody takes it on a stage."""
    light = str(rng.choice(LIGHTS))
    dim = light in ("night", "stage colour")
    return Taking(
        _camera(rng, panel, float(rng.uniform(0, most)), bend=float(rng.uniform(-0.07, 0.07))),
        light,
        float(rng.uniform(0, 2 * math.pi)),
        blur=float(rng.uniform(0.4, 2.2 if dim else 1.6)),
        noise=float(rng.uniform(8, 20) if light == "night" else rng.uniform(2, 8)),
        jpeg=int(rng.integers(70, 93)),
        cable=bool(rng.random() < 0.25),
        tape=bool(rng.random() < 0.15),
        seed=int(rng.integers(1 << 30)),
    )


def _camera(rng: Rng, panel: Panel, off: float, bend: float = 0.0) -> Camera:
    way = rng.uniform(0, 2 * math.pi)
    focal = float(rng.uniform(0.68, 1.1) * SIZE[0])  # a phone's wide to its doubled lens
    fill = float(rng.uniform(0.55, 0.88))  # of the picture's width or height
    fit = max(panel.width / SIZE[0], panel.height / SIZE[1]) / fill
    return Camera(
        (
            panel.width / 2 + float(rng.normal(0, 0.03)) * panel.width,
            panel.height / 2 + float(rng.normal(0, 0.05)) * panel.height,
        ),
        focal * fit,
        focal,
        off * math.cos(way),
        off * math.sin(way),
        float(rng.normal(0, 6)),
        (float(rng.normal(0, 40)), float(rng.normal(0, 40))),
        bend,
    )


def photograph(
    panel: Panel, turns: Sequence[float], taking: Taking, places: Sequence[float] = ()
) -> Photo:
    """JPEG and where each cap is in it; `places` of what slides, 0 to 1."""
    rng = np.random.default_rng(taking.seed)
    camera, light = taking.camera, _light(taking)
    photo = _room(rng)
    sheet = _printed(panel, taking, light)
    scale = np.diag([1 / PX_PER_MM, 1 / PX_PER_MM, 1.0])
    whole = (0, 0, *SIZE)
    _paste(photo, warp(sheet, camera.at_height(0) @ scale, whole), whole)
    # The farthest from the camera first, so that a nearer cap may cover it.
    order = sorted(range(len(panel.caps)), key=lambda i: (panel.caps[i].base, panel.caps[i].at[1]))
    shown = Image.new("I", SIZE, 0)  # which cap's marked face is seen where, from 1; below 0: none
    for i in order:
        _draw_cap(photo, camera, panel.caps[i], turns[i], light, shown, i + 1)
    for slider, place in zip(panel.sliders, places, strict=True):
        for height, at, picture in sliders.slices(slider, place, light.azimuth):
            _lay(photo, camera, at, height, sliders.EXTENT, picture)
    covered = _across(photo, panel, taking, rng)
    lit, glare = _lit(np.asarray(photo, np.float32) / 255, taking, rng)
    clean = through_lens(lit, camera.bend)
    face = np.where(covered | glare, -1, np.asarray(shown))
    seen = tuple(
        _seen(panel.caps[i], turns[i], camera, clean, face == i + 1, taking)
        for i in range(len(panel.caps))
    )
    return Photo(_developed(clean, taking, rng), seen)


def _light(taking: Taking) -> Light:
    hard = {"even": 0.35, "falling off": 0.6, "hard": 1.0, "night": 0.7, "stage colour": 0.9}
    return Light(taking.azimuth, hard.get(taking.light, 0.6))


def _room(rng: Rng) -> Image.Image:
    """What is behind the panel: cloth, wood, boxes, other gear, never the same twice."""
    small = rng.uniform(20, 120, (24, 32, 3)).astype(np.uint8)
    room = Image.fromarray(small).resize(SIZE, Image.Resampling.BICUBIC)
    draw = ImageDraw.Draw(room)
    for _ in range(25):
        x, y = rng.uniform(0, SIZE[0]), rng.uniform(0, SIZE[1])
        w, h = rng.uniform(10, 250, 2)
        draw.rectangle((x, y, x + w, y + h), fill=tuple(int(v) for v in rng.uniform(15, 200, 3)))
    return room


def _bytes(colour: Sequence[float]) -> tuple[int, ...]:
    return tuple(int(255 * min(1.0, max(0.0, v))) for v in colour)


def _word(rng: Rng) -> str:
    letters = "ABCDEFGHIKLMNOPRSTUVWY"
    return "".join(rng.choice(list(letters), size=int(rng.integers(3, 8))))


def _printed(panel: Panel, taking: Taking, light: Light) -> Image.Image:
    """The face of the panel with all that lies flat on it, shadows too; RGBA, PX_PER_MM."""
    rng = np.random.default_rng(panel.seed)
    k = PX_PER_MM
    size = (int(panel.width * k), int(panel.height * k))
    face = Image.new("RGB", size, _bytes(panel.ground))
    draw = ImageDraw.Draw(face)
    ink = _bytes(panel.ink)
    draw.rectangle((k * 3, k * 3, size[0] - k * 3, size[1] - k * 3), outline=ink, width=int(k / 2))
    title = ImageFont.load_default(size=int(k * 7))
    label = ImageFont.load_default(size=int(k * 3.6))
    tiny = ImageFont.load_default(size=int(k * 2.4))
    draw.text((k * 8, k * 5), _word(rng), ink, font=title)
    draw.text((size[0] - k * 8, k * 6), _word(rng) + " " + _word(rng), ink, font=label, anchor="ra")
    numbered, ticks = rng.random() < 0.5, rng.random() < 0.7
    for cap in panel.caps:
        if cap.kind == "cap of a pair":
            continue
        x, y = cap.at[0] * k, cap.at[1] * k
        reach = cap.radius * k
        draw.text((x, y + reach + k * 5.5), _word(rng), ink, font=label, anchor="mm")
        for number in range(11):
            angle = math.radians(-150 + 30 * number)
            dx, dy = math.sin(angle), -math.cos(angle)
            if ticks:
                near, far = reach + k * 0.8, reach + k * 2.4
                draw.line(
                    (x + dx * near, y + dy * near, x + dx * far, y + dy * far),
                    ink,
                    width=max(1, int(k * 0.4)),
                )
            if numbered:
                far = reach + k * 3.8
                draw.text((x + dx * far, y + dy * far), str(number), ink, font=tiny, anchor="mm")
    sliders.draw_ways(draw, panel.sliders, k, ink)
    for _ in range(6):
        x, y = rng.uniform(8, panel.width - 8) * k, (panel.height - 7) * k
        draw.ellipse((x - k * 2, y - k * 2, x + k * 2, y + k * 2), fill=(90, 90, 90), outline=ink)
        draw.line((x - k, y - k, x + k, y + k), fill=(20, 20, 20), width=2)
    marks = np.random.default_rng(taking.seed + 1)
    if taking.tape:
        for _ in range(2):
            x, y = marks.uniform(0, panel.width) * k, marks.uniform(0, panel.height) * k
            draw.rectangle((x, y, x + 30 * k, y + 9 * k), fill=(228, 222, 200))
    shadow = Image.new("L", size, 0)
    pen = ImageDraw.Draw(shadow)
    for cap in panel.caps:
        for part in (0.3, 0.6, 1.0):
            far = cap.height * part * 0.8
            x = (cap.at[0] - far * math.sin(light.azimuth)) * k
            y = (cap.at[1] + far * math.cos(light.azimuth)) * k
            r = cap.radius * k
            pen.ellipse((x - r, y - r, x + r, y + r), fill=int(190 * light.hard))
    soft = 1.0 if taking.light == "hard" else 6.0
    shadow = shadow.filter(ImageFilter.GaussianBlur(soft))
    dimmed = Image.composite(
        Image.new("RGB", size, (0, 0, 0)), face, shadow.point(lambda v: v * 0.7)
    )
    speck = np.random.default_rng(panel.seed + 2).normal(0, 2.5, (size[1], size[0], 1))
    face = Image.fromarray(np.clip(np.asarray(dimmed) + speck, 0, 255).astype(np.uint8))
    face.putalpha(255)
    return face


def _draw_cap(
    photo: Image.Image,
    camera: Camera,
    cap: Cap,
    turn: float,
    light: Light,
    shown: Image.Image,
    number: int,
) -> None:
    for height, picture in looks.slices(cap, turn, light):
        laid = _lay(photo, camera, cap.at, height, EXTENT * cap.radius, picture)
        if laid is None:
            return
        part, box = laid
        own = number if height == looks.marked_height(cap) else -1
        shown.paste(own, box[:2], part.getchannel("A").point(lambda v: 255 if v > 127 else 0))


def _lay(
    photo: Image.Image,
    camera: Camera,
    at: tuple[float, float],
    height: float,
    reach: float,
    picture: NDArray[np.float32],
) -> tuple[Image.Image, tuple[int, int, int, int]] | None:
    """A square picture that spans `reach` mm to either side of `at`, laid over the photo: what of
    it is seen, and where; None outside."""
    side = picture.shape[0]
    mm = 2 * reach / side
    to_mm = np.array([[mm, 0, at[0] - reach], [0, mm, at[1] - reach], [0, 0, 1.0]])
    to_px = camera.at_height(height) @ to_mm
    corners = to_px @ np.array([[0, side, 0, side], [0, 0, side, side], [1, 1, 1, 1.0]])
    xs, ys = corners[0] / corners[2], corners[1] / corners[2]
    box = (
        max(0, math.floor(xs.min()) - 1),
        max(0, math.floor(ys.min()) - 1),
        min(SIZE[0], math.ceil(xs.max()) + 1),
        min(SIZE[1], math.ceil(ys.max()) + 1),
    )
    if box[0] >= box[2] or box[1] >= box[3]:
        return None
    tile = Image.fromarray((np.clip(picture, 0, 1) * 255).astype(np.uint8), "RGBA")
    part = warp(tile, to_px, box)
    _paste(photo, part, box)
    return part, box


def _paste(photo: Image.Image, part: Image.Image, box: tuple[int, int, int, int]) -> None:
    photo.paste(part.convert("RGB"), box[:2], part.getchannel("A"))


def _across(photo: Image.Image, panel: Panel, taking: Taking, rng: Rng) -> NDArray[np.bool_]:
    """A cable in front of the panel; where it covers."""
    cover = Image.new("L", SIZE, 0)
    if taking.cable:
        x0, x1 = rng.uniform(0.1, 0.9, 2) * SIZE[0]
        bow = rng.uniform(-300, 300)
        points = []
        for part in np.linspace(0, 1, 40):
            points.append((x0 + (x1 - x0) * part + bow * part * (1 - part), SIZE[1] * part))
        width = int(rng.uniform(18, 42))
        pen = ImageDraw.Draw(cover)
        pen.line(points, fill=255, width=width, joint="curve")
        tone = int(rng.uniform(10, 60))
        photo.paste((tone, tone, tone + 5), (0, 0), cover)
        shine = Image.new("L", SIZE, 0)
        ImageDraw.Draw(shine).line(points, fill=120, width=max(2, width // 5))
        photo.paste((200, 200, 200), (0, 0), shine)
    return np.asarray(cover) > 128


def _lit(
    photo: NDArray[np.float32], taking: Taking, rng: Rng
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """In its light; where glare has eaten what was there."""
    height, width = photo.shape[:2]
    y = np.arange(height, dtype=np.float32)[:, None]
    x = np.arange(width, dtype=np.float32)[None, :]
    across = (x - width / 2) / width * math.sin(taking.azimuth) - (
        y - height / 2
    ) / width * math.cos(taking.azimuth)
    across = across.astype(np.float32)
    out = photo
    if taking.light in ("falling off", "hard", "night"):
        out = out * (np.float32(0.75) + np.float32(rng.uniform(0.3, 0.9)) * across)[..., None]
    if taking.light == "night":
        out = out * np.float32(rng.uniform(0.25, 0.5))
    if taking.light == "stage colour":
        dye = np.array(
            [[1, 0.15, 0.2], [0.15, 0.25, 1], [0.2, 1, 0.3], [1, 0.6, 0.1], [0.9, 0.2, 0.9]]
        )
        out = (
            out * dye[rng.integers(len(dye))].astype(np.float32) * np.float32(rng.uniform(0.6, 1.0))
        )
    glare = np.zeros((height, width), bool)
    if taking.light == "glare":
        for _ in range(int(rng.integers(1, 4))):
            gx, gy = rng.uniform(0.15, 0.85) * width, rng.uniform(0.2, 0.8) * height
            wide, high = rng.uniform(60, 260), rng.uniform(40, 160)
            veil = np.exp(-(((x - gx) / wide) ** 2) - ((y - gy) / high) ** 2)
            veil = veil * np.float32(rng.uniform(0.5, 1.6))
            out = out + veil[..., None]
            glare |= veil > 0.75
    if taking.light == "hard":
        # The edge of something that shades a part of the panel.
        edge = across - rng.uniform(-0.2, 0.2)
        out = out * (1 - 0.275 * (1 + np.tanh(edge * 150)))[..., None]
    return out.astype(np.float32), glare


def _developed(photo: NDArray[np.float32], taking: Taking, rng: Rng) -> bytes:
    picture = Image.fromarray((np.clip(photo, 0, 1) * 255).astype(np.uint8))
    picture = picture.filter(ImageFilter.GaussianBlur(taking.blur))
    grain = rng.standard_normal(photo.shape, np.float32) * np.float32(taking.noise)
    noisy = np.clip(np.asarray(picture) + grain, 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(noisy).save(out, "JPEG", quality=taking.jpeg)
    return out.getvalue()


def outline(cap: Cap, camera: Camera) -> tuple[float, float, list[tuple[float, float]]]:
    """Where the middle of what is circled, and twelve points of its edge, are in a photo."""
    height = looks.marked_height(cap)
    x, y = camera.sees(*cap.at, height)
    ring = [
        camera.sees(
            cap.at[0] + cap.radius * math.cos(a), cap.at[1] + cap.radius * math.sin(a), height
        )
        for a in np.linspace(0, 2 * math.pi, 12, endpoint=False)
    ]
    return x, y, ring


def _seen(
    cap: Cap,
    turn: float,
    camera: Camera,
    clean: NDArray[np.float32],
    face: NDArray[np.bool_],
    taking: Taking,
) -> Seen:
    x, y, ring = outline(cap, camera)
    spans = [math.hypot(u - x, v - y) for u, v in ring]
    inside = all(4 < u < SIZE[0] - 4 and 4 < v < SIZE[1] - 4 for u, v in ring)
    readable = (
        inside
        and cap.kind not in UNREADABLE
        and _mark_px(cap, min(spans)) >= LEAST_PX
        and _mark_shows(cap, turn, camera, clean, face, taking)
    )
    return Seen(x, y, float(np.mean(spans)), readable)


def _mark_px(cap: Cap, radius: float) -> float:
    """How wide the mark is in the photo; of a skirt how thick the strokes of its numbers are."""
    return radius * {"skirt with numbers": 0.03, "dot": 2 * cap.width}.get(cap.kind, cap.width)


def _mark_shows(
    cap: Cap,
    turn: float,
    camera: Camera,
    clean: NDArray[np.float32],
    face: NDArray[np.bool_],
    taking: Taking,
) -> bool:
    """Whether more than half of the mark's places are in sight, and most of those stand out from
    what is to either side of the mark in the strongest colour: by LEAST_CONTRAST and one and a
    half times the noise, after all that is brighter than white is white."""
    contrast: list[float] = []
    places = looks.mark_points(cap, turn)
    for number, place in enumerate(places):
        if not face[_pixel(cap, place, camera, bent=False)]:
            continue
        if cap.kind == "skirt with numbers":
            contrast.append(_spread(clean, _pixel(cap, place, camera), cap, camera))
            continue
        own = np.clip(clean[_pixel(cap, place, camera)], 0, 1)
        sides = [
            np.clip(clean[_pixel(cap, side, camera)], 0, 1)
            for side in looks.beside_mark(cap, turn, number)
        ]
        contrast.append(255 * float(np.abs(own - np.mean(sides, axis=0)).max()))
    if 2 * len(contrast) <= len(places):
        return False
    return float(np.median(contrast)) > max(LEAST_CONTRAST, 1.5 * taking.noise)


def _pixel(
    cap: Cap, place: tuple[float, float], camera: Camera, *, bent: bool = True
) -> tuple[int, int]:
    """Row and column of a place of the marked face, given in radii, y up; as through a straight
    lens unless `bent`."""
    height = looks.marked_height(cap)
    x, y = cap.at[0] + cap.radius * place[0], cap.at[1] - cap.radius * place[1]
    if bent:
        right, down = camera.sees(x, y, height)
    else:
        u, v, w = camera.at_height(height) @ np.array([x, y, 1.0])
        right, down = u / w, v / w
    return int(np.clip(down, 0, SIZE[1] - 1)), int(np.clip(right, 0, SIZE[0] - 1))


def _spread(clean: NDArray[np.float32], at: tuple[int, int], cap: Cap, camera: Camera) -> float:
    """How far apart light and dark are about a number, of 255, in the strongest colour."""
    size = max(2, int(0.3 * cap.radius * camera.focal / camera.distance))
    top, left = max(0, at[0] - size), max(0, at[1] - size)
    part = np.clip(clean[top : top + 2 * size, left : left + 2 * size], 0, 1).reshape(-1, 3)
    spread = np.percentile(part, 92, axis=0) - np.percentile(part, 8, axis=0)
    return 255 * float(spread.max())
