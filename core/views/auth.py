"""Log in and out, change and reset a password: Django's views with templates of our own."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordResetForm
from django.contrib.messages.views import SuccessMessageMixin
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse_lazy
from django.utils import translation
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from core.access.views import public, signed_in
from core.forms.account import LogInForm, NewPasswordForm
from core.languages.choice import language_for
from core.models import LogIn, User
from core.offline.once import not_remembered
from core.sign_in import codes, entering, logged_in, notices, tries


class _LogIn(views.LoginView):
    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        person = form.get_user()
        going_to = self.get_success_url()
        if codes.is_on(person):
            entering.begin_half(self.request, person, going_to)
            return redirect("core:code")
        entering.enter(self.request, person, by=LogIn.By.PASSWORD)
        return entering.bring_choices(HttpResponseRedirect(going_to), person)


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
    form_class = NewPasswordForm
    template_name = "core/password_change.html"
    success_url = reverse_lazy("core:account")
    success_message = gettext_lazy("Your password is changed. Other devices are logged out.")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"request": self.request}

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        _after_new_password(form.user, but=logged_in.this_one(self.request))
        return response


class _Forgotten(PasswordResetForm):
    """Mails in the language of whose account it is; else in that of the page."""

    def send_mail(self, *args: Any, **more: Any) -> None:
        context = more.get("context") or args[2]
        page = translation.get_language() or ""
        with translation.override(language_for(context["user"], page)):
            super().send_mail(*args, **more)


class _PasswordForgotten(views.PasswordResetView):
    form_class = _Forgotten
    template_name = "core/password_reset.html"
    email_template_name = "core/mail/password_reset.txt"
    subject_template_name = "core/mail/password_reset_subject.txt"
    success_url = reverse_lazy("core:password_reset_done")

    def form_valid(self, form: Any) -> HttpResponse:
        # Anybody may ask for anybody. Whoever asks too often gets the same answer and no mail.
        key = tries.key_of("forgotten", form.cleaned_data["email"].lower())
        if tries.used_up(key, most=MAILS_AN_HOUR, within=timedelta(hours=1)):
            return HttpResponseRedirect(str(self.success_url))
        return super().form_valid(form)


class _PasswordNew(views.PasswordResetConfirmView):
    template_name = "core/password_reset_confirm.html"
    success_url = reverse_lazy("core:password_reset_complete")

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        _after_new_password(form.user)
        return response


def _after_new_password(person: User, *, but: str = "") -> None:
    logged_in.end_all(person, but=but)
    notices.tell(
        person,
        gettext_lazy("Your password was changed"),
        gettext_lazy("Your account has a new password."),
    )


MAILS_AN_HOUR = 3
# Wrong old passwords are counted.
password_change = not_remembered(signed_in(_PasswordChange.as_view()))
# Whoever forgot the password cannot be logged in. The pages never say whether an account exists.
password_reset = public(_PasswordForgotten.as_view())
password_reset_done = public(
    views.PasswordResetDoneView.as_view(template_name="core/password_reset_done.html")
)
password_reset_confirm = public(never_cache(_PasswordNew.as_view()))
password_reset_complete = public(
    views.PasswordResetCompleteView.as_view(template_name="core/password_reset_complete.html")
)
