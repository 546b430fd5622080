"""Static files under hashed names, also where one script imports another."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage

# Django leaves this off because of what it makes of libraries; ours lie in folders called js.
_, IMPORTS = HashedFilesMixin._js_module_import_aggregation_patterns  # type: ignore[attr-defined]
OUR_SCRIPTS = "*/js/*.js"


class StaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    patterns: ClassVar[Any] = (
        *CompressedManifestStaticFilesStorage.patterns,
        (OUR_SCRIPTS, IMPORTS),
    )
