"""Large pictures are decoded one at a time in a process: each takes hundreds of megabytes.

Nothing outside to compare with; figures are in docs/measurements.md.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor, wait

from PIL import Image

from rigs.photos import prepare as preparing
from rigs.photos.prepare import LARGE_PIXELS, prepare
from tests.rigs.photos.pictures import encoded

LIMITS = {"max_bytes": 10_000_000, "max_pixels": 60_000_000}


def flat(width: int, height: int) -> bytes:
    return encoded(Image.new("RGB", (width, height), "maroon"))


def test_a_large_picture_waits_for_the_one_before_and_a_small_one_does_not() -> None:
    large, small = flat(6000, 4400), flat(4000, 3000)
    assert 4000 * 3000 < LARGE_PIXELS < 6000 * 4400
    with ThreadPoolExecutor(2) as threads:
        with preparing._TURN:  # somebody else's is being decoded
            second = threads.submit(prepare, large, **LIMITS)
            first = threads.submit(prepare, small, **LIMITS)
            assert first.result(timeout=60).width == 2000
            assert wait([second], timeout=0.5).not_done
        assert second.result(timeout=60).width == 2560
