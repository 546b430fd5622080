"""Settings of the test run: local mode, cheap passwords, files in a throw-away folder."""

from __future__ import annotations

import os
import tempfile

os.environ["TONELEDGER_MODE"] = "local"
os.environ.setdefault("TONELEDGER_DATA", tempfile.mkdtemp(prefix="toneledger-tests-"))

from core.settings import *  # noqa: E402, F403
from core.settings import MEDIA_ROOT as SHARED_MEDIA  # noqa: E402
from core.settings import MIDDLEWARE, STATIC_ROOT, STORAGES  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
AXES_ENABLED = False
KEPT_CHECKED = True
MIDDLEWARE = [*MIDDLEWARE, "tests.support.as_shown.pages_as_shown"]
# Files lie under their digests, so two workers with one folder would mend, break and sweep each
# other's.
MEDIA_ROOT = SHARED_MEDIA / os.environ.get("PYTEST_XDIST_WORKER", "one")
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
