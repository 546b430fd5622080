"""What a process that serves sets up before Django does, and what it tells of each request.

Nothing here may import the figures: their library looks once, when it is imported, where to keep
them.
"""

from __future__ import annotations

import gc
import os
from contextvars import ContextVar

from django.conf import settings
from django.urls import get_resolver

# When the server took a request in, by perf_counter; 0 where the server does not say.
arrived: ContextVar[float] = ContextVar("arrived", default=0.0)


def share_figures() -> None:
    """Keep figures in files, so that whichever process is asked knows those of all."""
    if settings.METRICS_TOKEN:
        settings.METRICS_DIR.mkdir(parents=True, exist_ok=True)
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(settings.METRICS_DIR)


def keep_loaded() -> None:
    """Load the addresses with all their views, and leave what is loaded out of the search for
    garbage, which would otherwise halt a request for a tenth of a second now and then."""
    _ = get_resolver().url_patterns
    gc.collect()
    gc.freeze()
