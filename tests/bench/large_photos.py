"""What a large photo of a telephone costs: time and memory of preparing it, in its own process.

    python -m tests.bench.large_photos

For each size, a picture with structure and noise as JPEG and as HEIC (12, 48 megapixels, and the
60 that are the most), prepared as a form does it. Memory is the peak resident set of the process,
less what it had before the picture was opened. Linux only.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

SIZES = {"12": (4032, 3024), "48": (8064, 6048), "60": (8944, 6708)}
KINDS = ("JPEG", "HEIC")
QUALITY = {"JPEG": 88, "HEIC": 65}
PREPARE = "prepare"


def scene(width: int, height: int) -> Image.Image:
    """Edges, flat ground and the noise of a dark stage: nothing that packs too well."""
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    ground = 90 + 60 * np.sin(x / 97) * np.cos(y / 131) + 30 * ((x // 400 + y // 400) % 2)
    pixels = np.empty((height, width, 3), dtype=np.uint8)
    chance = np.random.default_rng(7)
    for channel in range(3):
        noise = chance.standard_normal((height, width), dtype=np.float32) * 6
        pixels[..., channel] = np.clip(ground * (0.8 + 0.1 * channel) + noise, 0, 255)
    return Image.fromarray(pixels)


def encoded(picture: Image.Image, kind: str) -> bytes:
    out = io.BytesIO()
    if kind == "HEIC":
        # The quickest way to write one: how long that takes is not what is asked.
        more = {"preset": "ultrafast"}
        pillow_heif.from_pillow(picture).save(out, quality=QUALITY[kind], enc_params=more)
    else:
        picture.save(out, "JPEG", quality=QUALITY[kind])
    return out.getvalue()


def peak_mb() -> float:
    """Not `ru_maxrss`, which begins with what the process had that started this one."""
    status = Path("/proc/self/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


def prepared(path: Path) -> str:
    """In the process of its own: seconds, megabytes of memory, kilobytes that are stored."""
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")
    django.setup()
    from rigs.photos.prepare import prepare

    data = path.read_bytes()
    before, begun = peak_mb(), time.perf_counter()
    made = prepare(data, max_bytes=1 << 30, max_pixels=1 << 30)
    seconds = time.perf_counter() - begun
    stored = (len(made.full) + len(made.thumb)) / 1000
    return f"{seconds:.1f} s, {peak_mb() - before:.0f} MB, {stored:.0f} kB stored"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        for megapixels, size in SIZES.items():
            picture = scene(*size)
            for kind in KINDS:
                data = encoded(picture, kind)
                path = Path(folder) / f"{megapixels}.{kind.lower()}"
                path.write_bytes(data)
                command = [sys.executable, "-m", __spec__.name, PREPARE, str(path)]
                told = subprocess.check_output(command, text=True)
                print(f"{megapixels} MP {kind}, {len(data) / 1e6:.1f} MB: {told.strip()}")


if __name__ == "__main__":
    if sys.argv[1:2] == [PREPARE]:
        print(prepared(Path(sys.argv[2])))
    else:
        main()
