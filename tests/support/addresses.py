"""Every address of the service, from the URL configuration itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

# Addresses that libraries bring along; their own tests keep them.
LEFT_TO_LIBRARIES = ("admin/", "static/")


def patterns(
    found: list[Any] | None = None, prefix: str = "", names: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    for entry in get_resolver().url_patterns if found is None else found:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from patterns(entry.url_patterns, route, names)
        elif not route.startswith(LEFT_TO_LIBRARIES):
            yield route, entry


def address(route: str, known: dict[str, str]) -> str:
    def value(match: re.Match[str]) -> str:
        name = match[1].rpartition(":")[2]
        assert name in known, (
            f"{route}: give the argument “{name}” a value in tests.support.everything"
        )
        return known[name]

    plain = re.sub(r"\(\?P<(\w+)>[^)]*\)", lambda m: value(m), route)
    return "/" + re.sub(r"<([^>]+)>", value, plain).replace("^", "").replace("$", "").replace(
        "\\", ""
    )


def access_of(entry: URLPattern) -> Any:
    view: Any = entry.callback
    return getattr(view, "access", None) or getattr(getattr(view, "cls", None), "access", None)


# Found at import, so that each address can be the parameter of a test of its own.
ROUTES = dict(patterns())
