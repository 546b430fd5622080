"""Pages of getting in: log-ins, passkeys, the second factor, and saying once more who one is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.views import public, signed_in
from core.models import LogIn, Membership
from core.models.roles import Role
from core.offline.once import not_remembered
from core.operation import log_ins
from core.sign_in import codes, confirming, entering, logged_in, notices, passkeys
from core.sign_in.confirming import confirmed
from core.sign_in.forms import NOT_RIGHT, CodeForm, ConfirmForm, NewCodeForm, NewPasskeyForm
from core.views.pages import posted

if TYPE_CHECKING:
    from django_stubs_ext import StrPromise

GIVE_A_NAME = gettext_lazy("Give the passkey a name, so that you know later which one it is.")
FACTOR_ON = gettext_lazy("The second factor of your account is asked for from now on.")
FACTOR_OFF = gettext_lazy("The second factor of your account is not asked for any more.")
NEW_CODES = gettext_lazy("The second factor of your account has new recovery codes.")
_NEW_SECRET = "new_second_factor"  # noqa: S105 - where it waits, sealed, to be tried


@require_safe
@signed_in
def getting_in(request: Any) -> HttpResponse:
    person = request.user
    context = {
        "passkeys": list(person.passkeys.all()),
        "log_ins": list(logged_in.of(person)),
        "this_one": logged_in.this_one(request),
        "factor": codes.factor_of(person),
        "codes_left": person.recovery_codes.count(),
        "is_manager": Membership.objects.filter(user=person, role=Role.MANAGER).exists(),
        "form": NewPasskeyForm(),
    }
    return render(request, "core/sign_in/getting_in.html", context)


@require_POST
@signed_in
@confirmed
def end_log_in(request: Any, log_in: str) -> HttpResponse:
    if logged_in.end(request.user, log_in):
        messages.success(request, _("That log-in is ended."))
    else:
        messages.warning(request, _("That log-in was ended before."))
    return redirect("core:getting_in")


@require_POST
@signed_in
@confirmed
def end_others(request: Any) -> HttpResponse:
    count = logged_in.end_all(request.user, but=logged_in.this_one(request))
    messages.success(
        request, _("Ended elsewhere: {n}. Here you are still logged in.").format(n=count)
    )
    return redirect("core:getting_in")


@not_remembered  # wrong passwords and codes are counted
@require_http_methods(["GET", "POST"])
@never_cache
@signed_in
def confirm(request: Any) -> HttpResponse:
    going_to = safe_next(request)
    form = ConfirmForm(posted(request), request=request, person=request.user)
    if form.is_valid():
        confirming.confirm(request)
        return redirect(going_to)
    context = {"form": form, "next": going_to}
    return render(request, "core/sign_in/confirm.html", context)


@require_POST
@signed_in
def confirm_by_passkey(request: Any) -> HttpResponse:
    try:
        if passkeys.whose(request, _answer(request), "confirm") != request.user:
            raise passkeys.NotTaken(_("This passkey is of somebody else."))
    except passkeys.NotTaken as refused:
        log_ins.refused("passkey")
        messages.error(request, str(refused))
        return redirect("core:confirm")
    confirming.confirm(request)
    return redirect(safe_next(request))


@require_POST
@never_cache
@signed_in
def passkey_new(request: Any) -> HttpResponse:
    """What a browser needs to make one, as JSON."""
    if not confirming.is_confirmed(request):
        return JsonResponse({"go_to": _confirm_first()}, status=409)
    try:
        return JsonResponse(passkeys.to_make(request, request.user))
    except passkeys.NotTaken as refused:
        return JsonResponse({"told": str(refused)}, status=409)


@require_POST
@signed_in
@confirmed
def passkey_add(request: Any) -> HttpResponse:
    form = NewPasskeyForm(request.POST)
    if not form.is_valid():
        messages.error(request, GIVE_A_NAME)
        return redirect("core:getting_in")
    try:
        made = passkeys.make(request, request.user, _answer(request), form.cleaned_data["name"])
    except passkeys.NotTaken as refused:
        messages.error(request, str(refused))
        return redirect("core:getting_in")
    notices.tell(
        request.user,
        gettext_lazy("A new passkey"),
        format_lazy(
            gettext_lazy("The passkey “{name}” can log in to your account now."), name=made.name
        ),
    )
    messages.success(request, _("“{name}” is a passkey of yours now.").format(name=made))
    return redirect("core:getting_in")


@require_POST
@signed_in
@confirmed
def passkey_remove(request: Any, passkey: UUID) -> HttpResponse:
    name = passkeys.remove(request.user, passkey)
    if name is None:
        messages.warning(request, _("That passkey was removed before."))
    else:
        notices.tell(
            request.user,
            gettext_lazy("A passkey was removed"),
            format_lazy(gettext_lazy("The passkey “{name}” was removed."), name=name),
        )
        words = _("“{name}” opens nothing any more. Delete it on the device, too.")
        messages.success(request, words.format(name=name))
    return redirect("core:getting_in")


@public  # how somebody without a session gets one
@require_POST
@never_cache
def passkey_ask(request: Any) -> HttpResponse:
    """What a browser needs to ask for one, as JSON."""
    what = "confirm" if request.user.is_authenticated else "log_in"
    if what == "log_in":
        request.session.set_expiry(passkeys.CHALLENGE_LASTS_S)
    return JsonResponse(passkeys.to_get(request, what))


@public  # as above
@require_POST
def passkey_log_in(request: Any) -> HttpResponse:
    going_to = safe_next(request)
    try:
        person = passkeys.whose(request, _answer(request))
    except passkeys.NotTaken as refused:
        log_ins.refused("passkey")
        messages.error(request, str(refused))
        return redirect_to_login(going_to)
    entering.enter(request, person, by=LogIn.By.PASSKEY)
    return entering.bring_choices(redirect(going_to), person)


@public  # whoever gave the right password; nobody else is half in
@require_http_methods(["GET", "POST"])
@never_cache
def code(request: Any) -> HttpResponse:
    half = entering.half_in(request)
    if half is None:
        messages.warning(request, _("Log in with your password first."))
        return redirect("core:login")
    person, going_to = half
    form = CodeForm(posted(request))
    if form.is_valid():
        try:
            by = codes.check(person, form.cleaned_data["code"])
        except codes.TooMany as refused:
            form.add_error("code", str(refused))
        else:
            if by:
                entering.enter(request, person, by=by)
                _tell_of_recovery(request, by)
                return entering.bring_choices(redirect(going_to), person)
            form.add_error("code", NOT_RIGHT)
    return render(request, "core/sign_in/code.html", {"form": form})


@require_http_methods(["GET", "POST"])
@never_cache  # secrets that must not be kept anywhere
@signed_in
@confirmed
def second_factor(request: Any) -> HttpResponse:
    if codes.is_on(request.user):
        return _change_factor(request)
    secret = codes.unseal(request.session.get(_NEW_SECRET, "")) or codes.new_secret()
    form = NewCodeForm(posted(request))
    if form.is_valid():
        made = codes.turn_on(request.user, secret, form.cleaned_data["code"])
        if made:
            request.session.pop(_NEW_SECRET, None)
            logged_in.end_all(request.user, but=logged_in.this_one(request))
            _tell_of_factor(request, FACTOR_ON)
            return _codes_shown(request, made)
        form.add_error("code", NOT_RIGHT)
    request.session[_NEW_SECRET] = codes.seal(secret)
    context = {
        "form": form,
        "secret": " ".join(secret[n : n + 4] for n in range(0, len(secret), 4)),
        "address": codes.address_for_app(secret, request.user),
    }
    return render(request, "core/sign_in/second_factor_new.html", context)


def _change_factor(request: Any) -> HttpResponse:
    if "off" in request.POST:
        codes.turn_off(request.user)
        _tell_of_factor(request, FACTOR_OFF)
        messages.success(request, _("The second factor is off."))
        return redirect("core:getting_in")
    if "codes" in request.POST:
        made = codes.new_recovery_codes(request.user)
        _tell_of_factor(request, NEW_CODES)
        return _codes_shown(request, made)
    context = {"codes_left": request.user.recovery_codes.count()}
    return render(request, "core/sign_in/second_factor.html", context)


def _codes_shown(request: Any, made: list[str]) -> HttpResponse:
    """No redirect: they cannot be shown on another page, because nobody keeps them."""
    return render(request, "core/sign_in/recovery_codes.html", {"recovery_codes": made})


def _tell_of_factor(request: Any, what: StrPromise) -> None:
    notices.tell(request.user, gettext_lazy("Your second factor"), what)


def _tell_of_recovery(request: Any, by: LogIn.By) -> None:
    if by == LogIn.By.RECOVERY:
        left = request.user.recovery_codes.count()
        notices.tell(
            request.user,
            gettext_lazy("A recovery code was used"),
            format_lazy(
                ngettext_lazy(
                    "One of your recovery codes was used to log in. {n} is left.",
                    "One of your recovery codes was used to log in. {n} are left.",
                    left,
                ),
                n=left,
            ),
        )
        words = ngettext(
            "{n} recovery code is left. Make new ones in time.",
            "{n} recovery codes are left. Make new ones in time.",
            left,
        )
        messages.warning(request, words.format(n=left))


@public  # leads to the log-in, which asks for the second factor; the one of Django's does not
@never_cache
def admin_log_in(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated:
        raise PermissionDenied  # logged in, and no administrator
    return redirect_to_login(safe_next(request))


def safe_next(request: HttpRequest) -> str:
    """Where somebody wanted to go, if it is here; else home."""
    said = request.POST.get("next", request.GET.get("next", ""))
    is_here = url_has_allowed_host_and_scheme(
        said, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return said if is_here else resolve_url("core:home")


def _answer(request: HttpRequest) -> str:
    return request.POST.get("credential", "")


def _confirm_first() -> str:
    return f"{resolve_url('core:confirm')}?next={resolve_url('core:getting_in')}"
