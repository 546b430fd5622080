"""The outline of a waveform: the lowest and the highest sample in each column of a picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from notes.listening.samples import Samples, as_frames


def envelope(samples: Samples, columns: int) -> NDArray[np.float64]:
    """Shape (columns, 2): least and greatest sample of any channel in each equal stretch of time.

    Fewer samples than columns give a column for each sample. Raises ValueError below one column.
    """
    if columns < 1:
        raise ValueError("a picture has at least one column")
    frames = as_frames(samples)
    starts = np.unique(np.linspace(0, len(frames), columns, endpoint=False).astype(np.int64))
    low = np.minimum.reduceat(frames.min(axis=1), starts)
    high = np.maximum.reduceat(frames.max(axis=1), starts)
    return np.stack([low, high], axis=1)
