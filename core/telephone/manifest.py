"""The web app manifest: icons, shortcuts, and where a telephone sends what it shares."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.views import public
from core.languages.choice import tag_of
from core.places import SHORTCUTS
from core.telephone.kinds import PICTURES, SOUNDS

GROUND = "#141110"  # --ground of the dark theme; pages name their own (core/_head.html)
ICONS = ((192, "any"), (512, "any"), (192, "maskable"), (512, "maskable"), (512, "monochrome"))
SHORTCUT_SIZE = 96


@public  # whoever may see the log-in may install the app
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """A manifest as in the W3C's Web Application Manifest, its shortcuts and its `share_target`
    (W3C, Web Share Target)."""
    response = JsonResponse(
        {
            "id": "/",
            "name": "Toneledger",
            "short_name": "Toneledger",
            "description": _("What was heard, what was changed, and why."),
            "lang": tag_of(translation.get_language()),
            "start_url": "/",
            "scope": "/",
            "display": "standalone",
            "background_color": GROUND,
            "theme_color": GROUND,
            "icons": [_icon(f"icon-{purpose}", size, purpose) for size, purpose in ICONS],
            "shortcuts": _shortcuts(),
            "share_target": _share_target(),
        }
    )
    response.headers["Content-Type"] = "application/manifest+json"
    patch_vary_headers(response, ("Accept-Language", "Cookie"))
    return response


def _icon(name: str, size: int, purpose: str = "any") -> dict[str, str]:
    return {
        "src": static(f"core/img/{name}-{size}.png"),
        "sizes": f"{size}x{size}",
        "type": "image/png",
        "purpose": purpose,
    }


def _shortcuts() -> list[dict[str, Any]]:
    """What is pressed most first: a telephone may show three of them."""
    entries = [
        *((each.label, reverse("core:go", args=[each.key]), each.key) for each in SHORTCUTS.call()),
        (_("On this device"), reverse("core:kept"), "kept"),
        (_("Waiting to be sent"), reverse("core:waiting"), "waiting"),
    ]
    return [
        {"name": str(label), "url": url, "icons": [_icon(f"shortcut-{key}", SHORTCUT_SIZE)]}
        for label, url, key in entries
    ]


def _share_target() -> dict[str, Any]:
    """Taken by the service worker, which keeps it on the device (worker/incoming.js)."""
    return {
        "action": reverse("core:incoming_not_taken"),
        "method": "POST",
        "enctype": "multipart/form-data",
        "params": {
            "title": "title",
            "text": "text",
            "url": "url",
            "files": [{"name": "files", "accept": [*PICTURES, *SOUNDS]}],
        },
    }
