"""Where people reach this server, for links that are made outside a request."""

from __future__ import annotations

from django.conf import settings

HERE = "http://localhost:8000"


def base_address() -> str:
    """From TONELEDGER_ORIGINS, or else from the first of TONELEDGER_HOSTS; without “/”."""
    for origin in settings.CSRF_TRUSTED_ORIGINS:
        return str(origin).rstrip("/")
    if not settings.LOCAL:
        for host in settings.ALLOWED_HOSTS:
            # A wildcard or a whole domain is no address that somebody could open.
            if host not in ("*", "localhost") and not host.startswith("."):
                return f"https://{host}"
    return HERE
