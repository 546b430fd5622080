"""Settings of the benches: the test settings, and the two history libraries beside ours."""

from __future__ import annotations

from tests.settings import *  # noqa: F403
from tests.settings import DATA_DIR, DATABASES, INSTALLED_APPS, MIDDLEWARE

# On disk, as in use: in memory a commit costs nothing.
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "bench.sqlite3")}

INSTALLED_APPS += ["simple_history", "reversion", "tests.bench"]

KEPT_CHECKED = False

# Joining the lines of a page is done for the tests alone: it is no part of what a page costs.
MIDDLEWARE = [name for name in MIDDLEWARE if not name.startswith("tests.")]
