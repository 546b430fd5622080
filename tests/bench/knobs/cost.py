"""What a 12-megapixel photo of ten knobs costs: processor time and the memory of the process.

python -m tests.bench.knobs.cost
"""

from __future__ import annotations

import io
import time

import numpy as np
from PIL import Image

from core.uploads import apart
from rigs.knob_check.reading import Cap
from rigs.photos.prepare import prepare
from tests.bench.knobs.measured import measured
from tests.support.panels import camera, draw


def main() -> None:
    rng = np.random.default_rng(4)
    panel = draw.panel(rng, ("line",), large=True)
    while len(panel.caps) != 10:
        panel = draw.panel(rng, ("line",), large=True)
    before = draw.settings(rng, panel)
    photos = []
    for taking in (draw.from_front(rng, panel), draw.by_hand(rng, panel, 25.0)):
        photos.append(draw.photograph(panel, before, taking))
    large = Image.open(io.BytesIO(photos[1].jpeg)).resize((4032, 3024), Image.Resampling.BICUBIC)
    out = io.BytesIO()
    large.save(out, "JPEG", quality=88)
    begun = time.process_time()
    stored = prepare(out.getvalue(), max_bytes=1 << 26, max_pixels=50_000_000)
    print(f"prepared and packed for keeping, in the server: {time.process_time() - begun:.2f} s")
    width, height = camera.SIZE
    caps = [Cap(c.x / width, c.y / height, c.radius / width) for c in photos[0].caps]
    reference = prepare(photos[0].jpeg, max_bytes=1 << 26, max_pixels=50_000_000)
    for _ in range(3):
        seconds, most = apart.run(measured, reference.full, stored.full, caps, seconds=120)
        print(f"read in its own process: {seconds:.2f} s of processor time, {most:.0f} MB at most")


if __name__ == "__main__":
    main()
