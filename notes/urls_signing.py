"""Addresses of signing. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import asking, signature, signing

rig_urls = [
    path("sign/", signing.sign_rig, name="sign"),
    path("ask-signature/", asking.ask, name="ask_signature"),
    path("ask-signature/withdraw/", asking.withdraw, name="ask_withdraw"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/rigs/<uuid:rig>/", include(rig_urls)),
    path("sign/<str:token>/", signature.signature, name="signature"),
    path("sign/<str:token>/sound/", signature.signature_sound, name="signature_sound"),
]
