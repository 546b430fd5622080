"""Context of every template: the production, its navigation, and what the reader may do."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from core.access.policy import Action, allowed
from core.access.views import guest_of
from core.routes import address_of

# Label, route name, icon, key. The first four are the thumb's; the rest is behind "More".
NAVIGATION = (
    (_("Rigs"), "rigs:index", "cable", "rigs"),
    (_("Notes"), "notes:index", "ear", "notes"),
    (_("Changes"), "notes:changes", "history", "changes"),
    (_("Handover"), "notes:handovers", "book-open", "handover"),
    (_("Trials"), "notes:trials", "git-compare", "trials"),
    (_("Clips"), "notes:clips", "audio-lines", "clips"),
    (_("Microphones and DIs"), "rigs:devices", "mic", "devices"),
    (_("Timeline"), "notes:timeline", "calendar-range", "timeline"),
    (_("Songs"), "core:songs", "list-music", "songs"),
    (_("Upkeep"), "rigs:upkeep", "wrench", "upkeep"),
    (_("Tour"), "core:tour", "map", "tour"),
    (_("People"), "core:people", "users", "people"),
    (_("Search"), "core:search", "search", "search"),
)


class May:
    """`{% if may.edit_rig %}` in a template: the policy table, asked for the reader's roles."""

    def __init__(self, roles: frozenset[str]) -> None:
        self.roles = roles

    def __getitem__(self, action: str) -> bool:
        # An action misspelt in a template raises ValueError here; it must not pass for a refusal.
        return allowed(self.roles, Action(action))


def production(request: HttpRequest) -> dict[str, Any]:
    member = getattr(request, "member", None)
    # Pages outside a production, such as the log-in, have no member.
    if member is None:
        return {}
    place = member.production
    if guest := guest_of(request):
        # Without roles nothing is offered, and there is nowhere else to go.
        return {"production": place, "may": May(member.roles), "guest": guest}
    return {
        "production": place,
        "member": member,
        "may": May(member.roles),
        "nav_items": [
            {"label": label, "url": address_of(name, place.pk), "icon": icon, "key": key}
            for label, name, icon, key in NAVIGATION
        ],
    }
