"""Addresses of signing. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.signing import link_views, request_views, views

rig_urls = [
    path("sign/", views.sign_rig, name="sign"),
    path("ask-signature/", request_views.ask, name="ask_signature"),
    path("ask-signature/withdraw/", request_views.withdraw, name="ask_withdraw"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/rigs/<uuid:rig_id>/", include(rig_urls)),
    path("sign/<str:token>/", link_views.signature, name="signature"),
    path("sign/<str:token>/copy.pdf", link_views.signature_copy, name="signature_copy"),
    path(
        "sign/<str:token>/photos/<uuid:photo_id>/",
        link_views.signature_photo,
        name="signature_photo",
    ),
    path("sign/<str:token>/sound/", link_views.signature_sound, name="signature_sound"),
    path("sign/<str:token>/sound/instead/", link_views.signature_instead, name="signature_instead"),
    path("sign/<str:token>/sound/then/", link_views.signature_then, name="signature_then"),
    path("sign/<str:token>/sound/now/", link_views.signature_now, name="signature_now"),
]
