"""Fail closed: a view that does not say who may call it is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.http import HttpRequest, HttpResponseBase

# Views of libraries cannot be decorated at home; they bring access rules of their own.
TRUSTED_MODULES = (
    "django.contrib.admin",
    "django.contrib.auth.admin",
    "django.contrib.staticfiles",
    "django.views.static",
)


class DeclaredAccessMiddleware:
    """Raises ImproperlyConfigured for a view without a declaration, before the view runs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    # In process_view, because only here is the view known that the address leads to.
    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        if not declares_access(view):
            raise ImproperlyConfigured(
                f"{view.__module__}.{view.__name__} does not declare who may call it."
            )


def declares_access(view: Any) -> bool:
    # Views of the API are classes; as_view() leaves the class on the function as `cls`.
    declared = getattr(view, "access", None) or getattr(getattr(view, "cls", None), "access", None)
    return declared is not None or view.__module__.startswith(TRUSTED_MODULES)
