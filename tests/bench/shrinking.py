"""What it would take to make a photo small on the device, in Chromium: time and bytes.

    python -m tests.bench.shrinking

JPEGs as in tests.bench.large_photos are decoded, brought to 2560 px and encoded as WebP (JPEG where
a browser writes none) by a canvas, with the processor as it is and slowed down fourfold (CDP,
Emulation.setCPUThrottlingRate).
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import django
from playwright.sync_api import sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")
django.setup()

from tests.bench.large_photos import SIZES, encoded, scene
from tests.conftest import find_browser

SHRINK = """async () => {
  const [file] = document.querySelector("input").files;
  const begun = performance.now();
  const whole = await createImageBitmap(file);
  const by = Math.min(1, 2560 / Math.max(whole.width, whole.height));
  const canvas = new OffscreenCanvas(Math.round(whole.width * by), Math.round(whole.height * by));
  const drawing = canvas.getContext("2d");
  drawing.imageSmoothingQuality = "high";
  drawing.drawImage(whole, 0, 0, canvas.width, canvas.height);
  const small = await canvas.convertToBlob({ type: "image/webp", quality: 0.9 });
  return [performance.now() - begun, small.size];
}"""


def main() -> None:
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=find_browser(), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content("<input type=file>")
        cdp = page.context.new_cdp_session(page)
        for megapixels in ("12", "48"):
            path = Path(folder) / f"{megapixels}.jpg"
            path.write_bytes(encoded(scene(*SIZES[megapixels]), "JPEG"))
            page.set_input_files("input", path)
            for slower in (1, 4):
                cdp.send("Emulation.setCPUThrottlingRate", {"rate": slower})
                took, size = page.evaluate(SHRINK)
                before = path.stat().st_size / 1e6
                words = f"{before:.1f} MB to {size / 1e6:.1f} MB in {took / 1000:.1f} s"
                print(f"{megapixels} MP, {slower}x: {words}")
        browser.close()


if __name__ == "__main__":
    main()
