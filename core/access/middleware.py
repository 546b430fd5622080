"""Fail closed: a view that does not say who may call it is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.http import HttpRequest, HttpResponseBase, HttpResponseNotAllowed

# Views of libraries cannot be decorated at home; they bring access rules of their own.
TRUSTED_MODULES = (
    "django.contrib.admin",
    "django.contrib.auth.admin",
    "django.contrib.staticfiles",
    "django.views.static",
)


# RFC 9110, section 9, and RFC 5789. TRACE would only show what was sent, and others mean nothing.
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")


class DeclaredAccessMiddleware:
    """Refuses methods that no view knows. Raises ImproperlyConfigured for a view without a
    declaration, before the view runs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        return self.get_response(request)

    # In process_view, because only here is the view known that the address leads to.
    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        if not declares_access(view) and not _is_administration(request):
            raise ImproperlyConfigured(
                f"{view.__module__}.{view.__name__} does not declare who may call it."
            )


def declares_access(view: Any) -> bool:
    # Views of the API are classes; as_view() leaves the class on the function as `cls`.
    declared = getattr(view, "access", None) or getattr(getattr(view, "cls", None), "access", None)
    return declared is not None or view.__module__.startswith(TRUSTED_MODULES)


def _is_administration(request: HttpRequest) -> bool:
    """Its addresses of before lead to those of now by a view of Django's that is used elsewhere."""
    found = request.resolver_match
    return found is not None and found.app_name == "admin"
