"""What pages may ask of the device: the microphone, for voice memos, and nothing else.

The header Permissions-Policy is that of the W3C's Permissions Policy (a draft).
"""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

POLICY = "camera=(), geolocation=(), microphone=(self)"


class PermissionsMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", POLICY)
        return response
