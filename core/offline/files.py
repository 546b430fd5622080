"""Where static files live: hashed names everywhere, in what one module imports from another, too."""

from __future__ import annotations

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticFiles(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
