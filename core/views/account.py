"""One's own account."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.views import signed_in
from core.forms.account import AccountForm
from core.models import User
from core.views.pages import posted


@require_http_methods(["GET", "POST"])
@signed_in
def account(request: Any) -> HttpResponse:
    # A copy: a rejected name must not show in the head of the page as if it were saved.
    form = AccountForm(posted(request), instance=User.objects.get(pk=request.user.pk))
    if form.is_valid():
        form.save()
        messages.success(request, _("Your account is saved."))
        return redirect("core:account")
    return render(request, "core/account.html", {"form": form})
