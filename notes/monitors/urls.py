"""Addresses of monitor mixes. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.monitors import show_views, sign_views, views

mix_urls = [
    path("", views.mix, name="mix"),
    path("edit/", views.edit, name="mix_edit"),
    path("history/", views.history, name="mix_history"),
    path("retire/", views.retire, name="mix_retire"),
    path("sign/", sign_views.sign, name="mix_sign"),
    path("ask/", sign_views.ask, name="mix_ask"),
    path("ask/withdraw/", sign_views.withdraw, name="mix_ask_withdraw"),
]

show_urls = [
    path("mixes/", show_views.tonight, name="show_mixes"),
    path("mixes.pdf", show_views.paper, name="show_mixes_pdf"),
    path("mixes/wishes/<uuid:wish_id>/mark/", show_views.mark_wish, name="mix_wish_mark"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/mixes/", views.index, name="mixes"),
    path("p/<uuid:production>/mixes.pdf", views.paper, name="mixes_pdf"),
    path("p/<uuid:production>/mixes/new/", views.new, name="mix_new"),
    path("p/<uuid:production>/mixes/<uuid:mix_id>/", include(mix_urls)),
    path("p/<uuid:production>/shows/<uuid:show_id>/", include(show_urls)),
    path("sign-mix/<str:token>/", sign_views.signature, name="mix_signature"),
    path("sign-mix/<str:token>/copy.pdf", sign_views.copy, name="mix_signature_copy"),
]
