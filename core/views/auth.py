"""Log in and out, change and reset a password: Django's views with templates of our own."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.messages.views import SuccessMessageMixin
from django.http import HttpRequest, HttpResponse
from django.urls import reverse_lazy
from django.views.decorators.cache import never_cache

from core.access.views import public, signed_in
from core.forms.account import LogInForm
from core.themes import keep_on_device


class _LogIn(views.LoginView):
    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_valid(form)
        theme = form.get_user().theme
        if theme:
            keep_on_device(response, theme, secure=settings.CSRF_COOKIE_SECURE)
        return response


# How somebody without a session gets one.
log_in = public(
    _LogIn.as_view(
        template_name="core/log_in.html",
        authentication_form=LogInForm,
        redirect_authenticated_user=True,
    )
)


class _LogOut(views.LogoutView):
    """Logs out, and has the browser delete the pages it stored and the pictures it cached."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = super().post(request, *args, **kwargs)
        # W3C, Clear Site Data. A device may be shared, and what is stored can be read
        # offline.
        response.headers["Clear-Site-Data"] = '"cache", "storage"'
        return response


# Logging out twice is no error.
log_out = public(_LogOut.as_view())


class _PasswordChange(SuccessMessageMixin, views.PasswordChangeView):  # type: ignore[type-arg]
    template_name = "core/password_change.html"
    success_url = reverse_lazy("core:account")
    success_message = "Your password is changed. Other devices are logged out."


password_change = signed_in(_PasswordChange.as_view())
# Whoever forgot the password cannot be logged in. The pages never say whether an account exists.
password_reset = public(
    views.PasswordResetView.as_view(
        template_name="core/password_reset.html",
        email_template_name="core/mail/password_reset.txt",
        subject_template_name="core/mail/password_reset_subject.txt",
        success_url=reverse_lazy("core:password_reset_done"),
    )
)
password_reset_done = public(
    views.PasswordResetDoneView.as_view(template_name="core/password_reset_done.html")
)
password_reset_confirm = public(
    never_cache(
        views.PasswordResetConfirmView.as_view(
            template_name="core/password_reset_confirm.html",
            success_url=reverse_lazy("core:password_reset_complete"),
        )
    )
)
password_reset_complete = public(
    views.PasswordResetCompleteView.as_view(template_name="core/password_reset_complete.html")
)
