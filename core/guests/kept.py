"""The list of what a guest's device keeps: all that the link opens, until it ends."""

from __future__ import annotations

import hashlib
from typing import Any

from core.access.guest import Guest
from core.offline.pages import BUDGET_BYTES, gone_from


def kept_by(guest: Guest) -> dict[str, Any]:
    """Addresses are the guest's own. What a page shows comes along with it; prints do not. `until`
    is in ms since 1970, as a device counts. The store has a name that does not tell the secret."""
    pages = [path for path, opened in guest.opens.items() if not opened.file]
    first = [guest.start, *(path for path in pages if path != guest.start)]
    return {
        "store": hashlib.sha256(str(guest.link.pk).encode()).hexdigest()[:16],
        "home": guest.home,
        "title": guest.title,
        "until": int(guest.link.expires_at.timestamp() * 1000),
        "pages": [guest.below(path) for path in first],
        "budget": BUDGET_BYTES,
        "gone": gone_from(guest.link.production),
    }
