"""Addresses of getting in. Included by core.urls_core."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from core.sign_in import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("login/code/", views.code, name="code"),
    path("login/passkey/ask/", views.passkey_ask, name="passkey_ask"),
    path("login/passkey/", views.passkey_log_in, name="passkey_log_in"),
    path("account/getting-in/", views.getting_in, name="getting_in"),
    path("account/confirm/", views.confirm, name="confirm"),
    path("account/confirm/passkey/", views.confirm_by_passkey, name="confirm_by_passkey"),
    path("account/log-ins/end-others/", views.end_others, name="log_ins_end_others"),
    path("account/log-ins/<slug:log_in>/end/", views.end_log_in, name="log_in_end"),
    path("account/passkeys/new/", views.passkey_new, name="passkey_new"),
    path("account/passkeys/add/", views.passkey_add, name="passkey_add"),
    path("account/passkeys/<uuid:passkey>/remove/", views.passkey_remove, name="passkey_remove"),
    path("account/second-factor/", views.second_factor, name="second_factor"),
]
