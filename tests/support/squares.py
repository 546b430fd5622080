"""The QR squares of a picture, read by ZXing, which knows nothing of how they were made.

OpenCV's reader misses about one label in twenty of ours, and tests would fail now and then.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import zxingcpp


def squares_in(picture: Any) -> list[str]:
    """The texts of the QR codes in `picture`, an array of height × width × 3 with 8 bits each."""
    # QR alone: among the random squares of a sheet a bar code of another kind is sometimes seen.
    squares = zxingcpp.read_barcodes(
        np.ascontiguousarray(picture), formats=zxingcpp.BarcodeFormat.QRCode
    )
    return [square.text for square in squares]
